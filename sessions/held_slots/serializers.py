"""Held slots as they are sent and shown."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.examples import example_id
from practice.http.fields import DayField, WholeNumberField
from practice.http.serializers import StrictSerializer
from practice.people_and_places.name_fields import NameBesideId

LONGEST_LEAD = 24 * 90


class HeldSlotSerializer(StrictSerializer):
    """A practitioner's time that is held for evaluations."""

    example = {
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "weekday": 2,
        "starts": "10:00",
        "ends": "12:00",
        "release_hours": 48,
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the held slot.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    practitioner_id = serializers.UUIDField(help_text="Whose time it is.")
    practitioner_name = NameBesideId("practitioner")
    facility_id = serializers.UUIDField(help_text="Where; its clock decides the times.")
    facility_name = NameBesideId("facility")
    weekday = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=7,
        help_text="Each week on this ISO weekday, 1 Monday to 7 Sunday; or `day`.",
    )
    day = DayField(required=False, allow_null=True, help_text="Or on this day alone.")
    starts = serializers.TimeField(help_text="From, local time, e.g. `10:00`.")
    ends = serializers.TimeField(help_text="To, local time after `starts`, e.g. `12:00`.")
    release_hours = WholeNumberField(
        required=False,
        min_value=0,
        max_value=LONGEST_LEAD,
        help_text="So many hours before it begins it is anybody's, e.g. 48; 0: never before.",
    )
