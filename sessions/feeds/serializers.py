"""What is asked for a calendar feed and what is shown of it."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.examples import example_id
from practice.http.fields import NameField
from practice.http.serializers import RecordSerializer, StrictSerializer
from practice.people_and_places.name_fields import NameBesideId


class FeedInputSerializer(StrictSerializer):
    """Whose sessions a new feed holds."""

    example = {"practitioner_id": example_id("practitioner"), "label": "My phone"}

    practitioner_id = serializers.UUIDField(
        required=False, help_text="Sessions of this practitioner; else `facility_id`."
    )
    facility_id = serializers.UUIDField(
        required=False, help_text="Sessions at this facility; else `practitioner_id`."
    )
    label = NameField(  # type: ignore[assignment]  # the framework's own name
        max_length=60, help_text="What the link is for, e.g. `My phone`."
    )


class FeedOutputSerializer(RecordSerializer):
    """A feed, without its secret."""

    id = serializers.UUIDField(help_text="Id of the feed.")
    revision = serializers.IntegerField(help_text="Counts changes.")
    label = serializers.CharField(  # type: ignore[assignment]  # the framework's own name
        help_text="What the link is for."
    )
    staff_id = serializers.UUIDField(help_text="Whose link it is.")
    practitioner_id = serializers.UUIDField(allow_null=True, help_text="Whose sessions it holds.")
    practitioner_name = NameBesideId("practitioner")
    facility_id = serializers.UUIDField(allow_null=True, help_text="Or where they are.")
    facility_name = NameBesideId("facility")
    is_revoked = serializers.BooleanField(help_text="true: the link shows nothing any more.")


class MadeFeedOutputSerializer(FeedOutputSerializer):
    """A new feed, its link shown this once."""

    path = serializers.CharField(
        help_text="The link below the server's address, for a calendar program; keep it secret."
    )
