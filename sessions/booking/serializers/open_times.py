"""Serializers of the open times."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Credential
from practice.http.fields import DayField, EnumField, InstantField, WholeNumberField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer


class OpenTimeOutputSerializer(RecordSerializer):
    """A time that can be booked as it is offered."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    credential = EnumField(Credential, help_text="The credential.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    room_id = serializers.UUIDField(allow_null=True, help_text="A room that is free then.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    mode = ModeField(help_text="What a session then would be planned as.")
    reasons = ReasonForm(many=True, help_text="Why it would be no more than that.")
    warnings = ReasonForm(
        many=True, help_text="What a booking then would be warned of: who would not pay for it."
    )


class ExcludedPractitionerOutputSerializer(RecordSerializer):
    """A practitioner who is not offered."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    reasons = ReasonForm(many=True, help_text="Why not.")


class OpenTimesOutputSerializer(RecordSerializer):
    """Open times in order."""

    results = OpenTimeOutputSerializer(many=True, help_text="The offers, earliest first.")
    more = serializers.BooleanField(help_text="There are more; ask from a later day.")
    excluded = ExcludedPractitionerOutputSerializer(
        many=True, help_text="Who is not offered, and why."
    )


class OpenTimesQueryInputSerializer(StrictSerializer):
    """The query of open times."""

    client_id = serializers.UUIDField(help_text="For whom.")
    facility_id = serializers.UUIDField(help_text="Where.")
    practitioner_id = serializers.UUIDField(required=False, help_text="With whom; else all there.")
    minutes = WholeNumberField(min_value=1, max_value=1440, help_text="Length in minutes, e.g. 60.")
    limit = WholeNumberField(
        required=False, min_value=1, max_value=200, help_text="At most so many, e.g. 50."
    )

    def get_fields(self) -> dict[str, Any]:
        """``from`` and ``to`` are words of the language, so they are named here."""
        fields = super().get_fields()
        fields["from"] = DayField(help_text="First local day, e.g. `2026-03-09`.")
        fields["to"] = DayField(help_text="Last local day, itself included.")
        return fields
