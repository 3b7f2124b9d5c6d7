"""What is measured while a draft is written: as devices save it, and what came of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rest_framework import serializers

from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.http.fields import EnumField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import shown_reasons
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.measurements.serializers.body import CircumferencesInputSerializer
from sessions.measurements.serializers.readings import ReadingInputSerializer
from sessions.notes.domain.measured_fields import MEASURED_PREFIXES
from sessions.notes.domain.measured_lines import LineShown, LineState
from sessions.notes.serializers.work import LINE_ID


class MeasuredLineField(StrictSerializer):
    """Something measured, as its own request takes it, without the session.

    Here only the names of its fields and its id are judged, so that one that cannot be does not
    lose the rest of the save; the values where it is recorded, by the same form.
    """

    def to_internal_value(self, data: Any) -> Any:
        """As it was sent, its id in one writing."""
        if not isinstance(data, Mapping):
            raise serializers.ValidationError("Give an object.")
        unknown = [str(name) for name in data if name not in self.fields]
        if unknown:
            takes = f"Unknown field. Known are: {', '.join(sorted(self.fields))}."
            raise serializers.ValidationError({name: [takes] for name in unknown[:20]})
        try:
            line_id = serializers.UUIDField().run_validation(data.get("line_id", ""))
        except serializers.ValidationError as wrong:
            raise serializers.ValidationError({"line_id": wrong.detail}) from wrong
        return {**data, "line_id": str(line_id)}


class NoteReadingInputSerializer(MeasuredLineField, ReadingInputSerializer):
    """A reading that was taken in the session."""

    line_id = serializers.UUIDField(help_text=LINE_ID)
    session_id = None  # type: ignore[assignment]  # left out


class NoteCircumferencesInputSerializer(MeasuredLineField, CircumferencesInputSerializer):
    """Circumferences that were taken in the session."""

    line_id = serializers.UUIDField(help_text=LINE_ID)
    session_id = None  # type: ignore[assignment]  # left out


class MeasuredLineOutputSerializer(RecordSerializer):
    """What came of something measured that a save brought."""

    field = serializers.CharField(help_text="`readings.<id>` or `circumferences.<id>`.")
    state = EnumField(
        LineState,
        help_text="`taken`: recorded, once, under `id`; `not_taken`: refused, it stays in the draft"
        " and is tried again with each save; `changed`: taken as it read before; `collides`; "
        "`in_error`: taken, and entered in error since.",
    )
    id = serializers.UUIDField(allow_null=True, help_text="The record that it became.")
    code = serializers.CharField(help_text="Why it is not taken, e.g. `invalid`; or empty.")
    text = serializers.CharField(help_text="The same in words, and what to do.")
    problems = serializers.JSONField(help_text="What cannot be of it, by field.")
    sent = serializers.JSONField(help_text="What was sent, where it is not taken; else null.")
    warnings = ReasonForm(many=True, help_text="What its recording asks to see to now.")


def serialize_lines(
    lines: Iterable[LineShown], warnings: Mapping[str, Sequence[Reason]] | None = None
) -> list[dict[str, Any]]:
    """What came of each line; drafts are read by their author alone."""
    told = {
        f"{many}.{name.partition('.')[2]}": reasons
        for name, reasons in (warnings or {}).items()
        for many, prefix in MEASURED_PREFIXES.items()
        if name.startswith(prefix)
    }
    return [
        {
            "field": one.field,
            "state": one.state,
            "id": one.id,
            "code": one.code,
            "text": one.text,
            "problems": one.fields,
            "sent": one.sent,
            "warnings": shown_reasons(Role.PRACTITIONER, told.get(one.field, ())),
        }
        for one in lines
    ]
