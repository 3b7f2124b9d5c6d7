"""Forms of the calendar: what is asked and what is shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec
from rest_framework import serializers

from clients.selectors.names import named
from practice.api.fields import (
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstant,
    TextField,
    WholeField,
)
from practice.api.serializers import Strict
from practice.domain.localtime import zone_named
from practice.domain.reasons import Reason
from practice.domain.terms import Credential, Role
from sessions.api.forms.arrival import AnswersForm
from sessions.api.forms.shared import ModeField, ReasonForm, kept_reasons, shown_reasons
from sessions.domain.calendar.commands import Happening
from sessions.domain.calendar.events import CancelledBy, HandsOnToday, Purpose
from sessions.domain.calendar.state import Status
from sessions.models import Session
from sessions.services.calendar import BookRequest, MoveRequest, When


class SessionForm(serializers.Serializer[Any]):
    """A session."""

    id = serializers.UUIDField(help_text="Id of the session; it survives moves.")
    version = serializers.IntegerField(help_text="The session's version; its ETag.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Her name; empty after an erasure.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="Her or his name.")
    credential = EnumField(Credential, help_text="The practitioner's credential when booked.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room, if one is taken.")
    room_name = serializers.CharField(help_text="Its name; empty without a room.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    local_date = serializers.DateField(help_text="The local day it starts on.")
    zone = serializers.CharField(help_text="The facility's zone, e.g. `America/New_York`.")
    status = EnumField(Status, help_text="Where it stands, e.g. `booked`.")
    purpose = EnumField(Purpose, help_text="What it is for, e.g. `treatment`.")
    wish = ModeField(help_text="What was asked for when it was planned.")
    planned_mode = ModeField(help_text="What it was planned as: never more than permitted.")
    mode = ModeField(help_text="The most it may be as last judged.")
    reasons = ReasonForm(many=True, help_text="Why it is no more than that.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")
    flag_because = serializers.CharField(help_text="The event that narrowed it, or `settings`.")
    flag_reasons = ReasonForm(many=True, help_text="Why it narrowed.")
    late_entry = serializers.BooleanField(
        help_text="It was entered after it took place; it says nothing of when she came."
    )
    overlaps = serializers.ListField(
        child=serializers.UUIDField(), help_text="Sessions that this late entry overlaps."
    )
    hands_on_today = EnumField(HandsOnToday, help_text="Her answer on the day, e.g. `yes`.")
    arrived_at = InstantField(allow_null=True, help_text="When she came.")
    opened_at = InstantField(allow_null=True, help_text="When the practitioner opened it.")
    stopped_at_minute = serializers.IntegerField(allow_null=True, help_text="Minute of a stop.")
    cancelled_by = serializers.CharField(help_text="`client`, `practice` or empty.")
    notice_minutes = serializers.IntegerField(allow_null=True, help_text="Notice, in minutes.")
    ended_reason = serializers.CharField(help_text="Why it was called off or missed.")
    note_id = serializers.UUIDField(allow_null=True, help_text="The signed note.")
    warnings = ReasonForm(
        many=True,
        help_text="Things to see to, kept from its booking or last move, and those of the "
        "command that is answered; they forbid nothing.",
    )


_MADE = {"late_entry", "starts_at", "ends_at", "reasons", "flag_reasons", "warnings"}
_PLAIN = [name for name in SessionForm().get_fields() if name not in _MADE]


def shown_session(role: Role, row: Session, warnings: list[Reason] | None = None) -> Any:
    """A session as one role may read it, with the names of whom and what it is about."""
    if not hasattr(row, "client_name"):
        named([row])
    zone = zone_named(row.zone)
    return SessionForm(
        {
            **{name: getattr(row, name) for name in _PLAIN},
            "starts_at": row.starts_at.astimezone(zone),
            "ends_at": row.ends_at.astimezone(zone),
            "reasons": kept_reasons(role, row.reasons),
            "flag_reasons": kept_reasons(role, row.flag_reasons),
            "late_entry": row.late,
            "warnings": shown_reasons(role, _warnings(row, warnings or [])),
        }
    ).data


def _warnings(row: Session, told: list[Reason]) -> list[Reason]:
    """What was warned of when it was booked or moved, while it is not called off, and now."""
    over = row.status == Status.CANCELLED
    kept = [] if over else msgspec.convert(row.warnings, list[Reason])
    return [*kept, *(one for one in told if one not in kept)]


class WhenForm(Strict):
    """A start, and either a length or an end."""

    starts_at = LocalOrInstant(help_text='Start: `2026-03-09T09:30:00-04:00` or `{"local": ...}`.')
    ends_at = LocalOrInstant(required=False, help_text="End; instead of `minutes`.")
    minutes = WholeField(
        required=False, min_value=1, max_value=1440, help_text="Length in minutes, e.g. 60."
    )


class BookForm(WhenForm):
    """A session to be booked, or one that took place."""

    client_id = serializers.UUIDField(help_text="The client.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    facility_id = serializers.UUIDField(help_text="The facility; its zone decides the day.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="A room there.")
    wish = ModeField(required=False, help_text="`hands_on` (default) or `self_directed`.")
    purpose = EnumField(Purpose, required=False, help_text="What for, e.g. `evaluation`.")
    happened = EnumField(
        Happening, required=False, help_text="Only for a late entry: `came` or `absent`."
    )
    answers = AnswersForm(required=False, help_text="Only for a late entry: what was answered.")

    def to_request(self) -> BookRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        when = When(**{name: given.pop(name) for name in _WHEN if name in given})
        answers = given.pop("answers", None)
        if answers is not None:
            if "happened" not in given:
                raise serializers.ValidationError(
                    {"answers": ["Only for a late entry; else take them on arrival."]}
                )
            given["answers"] = AnswersForm.to_answers(answers)
        return BookRequest(when=when, **given)


_WHEN = ("starts_at", "ends_at", "minutes")


class MoveForm(Strict):
    """Another time, place or practitioner; what is not given stays."""

    starts_at = LocalOrInstant(
        required=False,
        help_text="The new start; alone it keeps the length that is booked.",
    )
    ends_at = LocalOrInstant(required=False, help_text="The new end; instead of `minutes`.")
    minutes = WholeField(
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Length in minutes, e.g. 60; left out with `ends_at`, the length stays.",
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="Another practitioner.")
    facility_id = serializers.UUIDField(required=False, help_text="Another facility.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="Another room.")
    wish = ModeField(required=False, help_text="To plan it anew: `hands_on`, `self_directed`.")
    reason = TextField(max_length=500, help_text="Why, e.g. `She asked for an earlier time.`")

    def to_request(self, session_id: UUID) -> MoveRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        timed = {name: given.pop(name) for name in _WHEN if name in given}
        if timed and "starts_at" not in timed:
            raise serializers.ValidationError({"starts_at": ["Give the start with the length."]})
        return MoveRequest(
            session_id=session_id,
            when=When(**timed) if timed else None,
            keep_room="room_id" not in given and "facility_id" not in given,
            **given,
        )


class CancelForm(Strict):
    """Who calls a session off, and why."""

    by = EnumField(CancelledBy, help_text="Who: `client` or `practice`.")
    reason = TextField(max_length=500, help_text="Why, e.g. `Has a cold.`")


class AbsenceForm(Strict):
    """The client did not come."""

    reason = TextField(
        required=False, allow_blank=True, max_length=500, help_text="What is known, if anything."
    )


class StopForm(Strict):
    """Hands-on work was stopped."""

    minute = WholeField(min_value=0, max_value=1440, help_text="Minute from the start, e.g. 25.")
    everything = FlagField(
        required=False, help_text="true: the session ended; false: she went on by herself."
    )
    last_line_id = serializers.UUIDField(
        required=False, help_text="The last line that was done before it."
    )
    reason = TextField(
        required=False, allow_blank=True, max_length=500, help_text="What she said, if anything."
    )
    at = InstantField(required=False, help_text="When, if it is entered later.")
