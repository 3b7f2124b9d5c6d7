"""Serializers of planning narrowed sessions anew in one act."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.permissions.domain.results import HandsOnExtent
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, FlagField, InstantField, TextField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.replanning.domain.replanning import ReplanResult
from sessions.replanning.services import ReplanRequest

OF_WHOM = ("practitioner_id", "client_id", "facility_id")


class ReplanInputSerializer(StrictSerializer):
    """Which narrowed sessions to plan anew, and why."""

    example = {
        "client_id": example_id("client"),
        "from": "2026-03-09",
        "to": "2026-06-30",
        "reason": "The birth date was typed wrong and is put right.",
        "preview": False,
    }

    practitioner_id = serializers.UUIDField(
        required=False, help_text="Those with this practitioner, e.g. whose licence was put right."
    )
    client_id = serializers.UUIDField(required=False, help_text="Those of this client.")
    facility_id = serializers.UUIDField(required=False, help_text="Those at this facility.")
    reason = TextField(
        max_length=500, help_text="Why, e.g. `The licence was typed wrong and is put right.`"
    )
    after = serializers.UUIDField(
        required=False, help_text="The `after` of the last answer, where sessions were left."
    )
    preview = FlagField(
        required=False, help_text="true: only say what would become of each; e.g. false."
    )

    def get_fields(self) -> dict[str, Any]:
        """With the range of days, one of whose names is a word of the language."""
        fields = super().get_fields()
        fields["from"] = DayField(required=False, help_text="First local day, e.g. `2026-03-09`.")
        fields["to"] = DayField(required=False, help_text="Last local day, itself included.")
        return fields

    def to_command(self, **more: Any) -> ReplanRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        if not any(name in given for name in OF_WHOM):
            told = "Name a client, a practitioner or a facility: whose sessions are meant."
            raise serializers.ValidationError({"client_id": [told]})
        first, last = given.pop("from", None), given.pop("to", None)
        if first is not None and last is not None and last < first:
            raise serializers.ValidationError({"to": ["The last day is before the first."]})
        return ReplanRequest(first=first, last=last, **given, **more)


class ReplannedSessionOutputSerializer(RecordSerializer):
    """What became of one session, or would."""

    session_id = serializers.UUIDField(help_text="The session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    starts_at = InstantField(help_text="When it is, on the facility's clock.")
    practitioner_name = serializers.CharField(help_text="With whom.")
    facility_name = serializers.CharField(help_text="Where.")
    result = EnumField(
        ReplanResult,
        help_text="`as_planned`: as it was planned at first, its flag is lifted; `wider`: more"
        " than it was, and flagged for the rest; `stays`: as narrow as it was, nothing changed.",
    )
    flagged = serializers.BooleanField(
        help_text="Its flag still stands, and it stays on the call list."
    )
    mode_before = ModeField(help_text="The most that any of it might be before.")
    mode = ModeField(help_text="The same now.")
    hands_on_before = EnumField(HandsOnExtent, help_text="How much was by hand before.")
    hands_on = EnumField(HandsOnExtent, help_text="The same now.")
    reasons = ReasonForm(many=True, help_text="Why it is no more than that.")
    refusal = serializers.DictField(
        allow_null=True, help_text="Why it could not be planned anew: `code`, `detail`, `reasons`."
    )
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")


class ReplanOutputSerializer(RecordSerializer):
    """What became of each; the worst first."""

    preview = serializers.BooleanField(help_text="true: nothing was changed.")
    text = serializers.CharField(help_text="What was done, in a sentence.")
    stays = serializers.IntegerField(help_text="So many stay as narrow as they were.")
    wider = serializers.IntegerField(help_text="So many are wider, and still flagged.")
    as_planned = serializers.IntegerField(help_text="So many are as they were planned at first.")
    left = serializers.IntegerField(
        help_text="So many more were not looked at: repeat the request with `after`."
    )
    after = serializers.UUIDField(
        allow_null=True, help_text="What to send as `after` then; null: none are left."
    )
    sessions = ReplannedSessionOutputSerializer(many=True, help_text="Each, by start.")
