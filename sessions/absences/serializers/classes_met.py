"""Serializers of the classes that an absence or a closure meets."""

from __future__ import annotations

from rest_framework import serializers

from practice.core.terms import Credential
from practice.http.fields import EnumField, InstantField
from practice.http.serializers import RecordSerializer


class FreeColleagueOutputSerializer(RecordSerializer):
    """A colleague who is there and free then."""

    practitioner_id = serializers.UUIDField(help_text="The colleague.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    credential = EnumField(Credential, help_text="Their credential.")


class MetClassOutputSerializer(RecordSerializer):
    """A class that an absence or a closure meets, with or without places taken."""

    class_id = serializers.UUIDField(help_text="The class: moved as a whole.")
    revision = serializers.IntegerField(help_text="Its revision, for `If-Match` of a move.")
    title = serializers.CharField(help_text="What it is called.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner who leads it.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_name = serializers.CharField(help_text="The room; empty without one.")
    places_taken = serializers.IntegerField(help_text="How many clients have a place; may be 0.")
    free_colleagues = FreeColleagueOutputSerializer(
        many=True,
        help_text="Who is there and free then, by name; a move says whether every client may "
        "work with them. Empty where the place is closed.",
    )


class MetClassesOutputSerializer(RecordSerializer):
    """The classes that it meets, those in which nobody has a place too."""

    still_without = serializers.IntegerField(
        help_text="Classes to come that are still without a practitioner, or a place."
    )
    elsewhere = serializers.IntegerField(
        help_text="So many more at facilities that the caller does not see."
    )
    first = MetClassOutputSerializer(
        many=True, help_text="The first in order of time; one that is moved or called off leaves."
    )
