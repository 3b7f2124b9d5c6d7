"""Travel times as they are sent and shown."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.examples import example_id
from practice.http.fields import WholeNumberField
from practice.http.serializers import StrictSerializer
from practice.people_and_places.name_fields import NameBesideId
from sessions.travel.domain.travel import LONGEST_TRAVEL


class TravelMinutesSerializer(StrictSerializer):
    """Other minutes between the same facilities."""

    example = {"minutes": 40}

    minutes = WholeNumberField(
        min_value=1, max_value=LONGEST_TRAVEL, help_text="Minutes, whichever way, e.g. 35."
    )


class TravelTimeSerializer(TravelMinutesSerializer):
    """How long practitioners travel between two facilities."""

    example = {
        "facility_id": example_id("facility"),
        "other_facility_id": example_id("other facility"),
        "minutes": 35,
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the travel time.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    facility_id = serializers.UUIDField(help_text="One facility.")
    facility_name = NameBesideId("facility")
    other_facility_id = serializers.UUIDField(help_text="The other one.")
    other_facility_name = NameBesideId("facility", "other_facility")
