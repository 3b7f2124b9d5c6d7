"""Facilities, their policy, their rooms."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Activity, Allowance, Technique
from practice.http.examples import example_id
from practice.http.fields import (
    EnumField,
    FlagField,
    JurisdictionField,
    NameField,
    PhoneField,
    TextField,
    WholeNumberField,
    ZoneField,
)
from practice.http.problems import ReasonSerializer
from practice.http.serializers import StrictSerializer


class OpeningHoursSerializer(StrictSerializer):
    """One span of opening hours."""

    weekday = WholeNumberField(min_value=1, max_value=7, help_text="1 Monday to 7 Sunday, e.g. 1.")
    opens = serializers.TimeField(help_text="Local time, e.g. `08:00`.")
    closes = serializers.TimeField(
        help_text="Local time after `opens`, e.g. `18:00`; `00:00` is the end of the day."
    )


class FacilityInputSerializer(StrictSerializer):
    """A facility to be added or changed."""

    example = {
        "name": "Riverside",
        "zone": "America/New_York",
        "jurisdiction": "US-PA",
        "phone": "+1 415 555 0123",
        "opening_hours": [
            {"weekday": 1, "opens": "08:00", "closes": "18:00"},
            {"weekday": 2, "opens": "08:00", "closes": "18:00"},
        ],
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the facility.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    name = NameField(max_length=120, help_text="Name, e.g. `Riverside`.")
    zone = ZoneField(help_text="IANA time zone that decides local days.")
    jurisdiction = JurisdictionField(help_text="ISO 3166-2 code of the state or province.")
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone in E.164, e.g. `+14155550123`."
    )
    opening_hours = OpeningHoursSerializer(
        many=True, required=False, help_text="Spans per weekday; replaced as a whole."
    )
    is_active = FlagField(required=False, help_text="false once it has closed, e.g. true.")


class FacilityOutputSerializer(FacilityInputSerializer):
    """A new or changed facility, with what its jurisdiction still lacks."""

    limits_on_record = serializers.IntegerField(
        read_only=True, help_text="Limits on record for its jurisdiction, e.g. 6."
    )
    warnings = ReasonSerializer(
        many=True, read_only=True, help_text="What is missing, if anything."
    )
    starter_rows = serializers.ListField(
        child=serializers.DictField(),
        read_only=True,
        help_text="Rows offered for this jurisdiction; verify them with your board.",
    )


class FacilityRuleSerializer(StrictSerializer):
    """What a facility says beyond the law; it can only narrow."""

    example = {
        "technique": "passive",
        "allowance": "not_allowed",
        "reason": "No treatment table here.",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the policy.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes.")
    activity = EnumField(
        Activity, required=False, help_text="Activity it speaks of; every one without."
    )
    technique = EnumField(
        Technique, required=False, help_text="Technique it speaks of; every one without."
    )
    allowance = EnumField(
        Allowance, help_text="`under_supervision` or `not_allowed`, e.g. `not_allowed`."
    )
    reason = TextField(max_length=300, help_text="Why, e.g. `No treatment table here.`")

    def validate_allowance(self, value: Allowance) -> Allowance:
        """A policy that allows would say nothing: it can only narrow."""
        if value is Allowance.ALLOWED:
            raise serializers.ValidationError(
                "A facility can only narrow: give under_supervision or not_allowed."
            )
        return value

    def to_representation(self, instance: Any) -> Any:
        """Without an activity or technique where it speaks of every one."""
        shown = super().to_representation(instance)
        return {name: value for name, value in shown.items() if value != ""}


class RoomSerializer(StrictSerializer):
    """A room of a facility."""

    example = {"facility_id": example_id("facility"), "name": "Room 2", "is_private": True}

    id = serializers.UUIDField(read_only=True, help_text="Id of the room.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    facility_id = serializers.UUIDField(help_text="Facility that the room is in.")
    name = NameField(max_length=60, help_text="Name, e.g. `Room 2`.")
    is_private = FlagField(required=False, help_text="Whether it can be closed off, e.g. true.")
    is_active = FlagField(required=False, help_text="false once out of use, e.g. true.")


class ChangedRoomOutputSerializer(RoomSerializer):
    """A changed room, with what is booked into it where it is out of use."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")
