"""The history of a record and the record as known on an earlier day."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import InstantField, WholeNumberField
from practice.http.serializers import RecordSerializer, StrictSerializer


class AsOfQuerySerializer(StrictSerializer):
    """As of when: in what was known, and in what had happened."""

    known_at = InstantField(
        required=False, help_text="Only what was recorded by this instant, with offset."
    )
    occurred_until = InstantField(
        required=False, help_text="Only what had happened by this instant, with offset."
    )


class HistoryQuerySerializer(AsOfQuerySerializer):
    """As of when, and which page."""

    after_version = WholeNumberField(
        required=False,
        min_value=1,
        max_value=2_147_483_647,
        help_text="`next_after_version` of the page before, e.g. 200.",
    )
    page_size = WholeNumberField(
        required=False, min_value=1, max_value=1000, help_text="Events of a page, e.g. 200."
    )


class RecordedByOutputSerializer(RecordSerializer):
    """The member of staff who recorded an event."""

    id = serializers.UUIDField(help_text="Id of the member of staff.")
    name = serializers.CharField(help_text="Name.")


class EventOutputSerializer(RecordSerializer):
    """One event of the record."""

    version = serializers.IntegerField(help_text="Number of the event in the record.")
    type = serializers.CharField(help_text="Stable name, e.g. `consent.recorded`.")
    text = serializers.CharField(help_text="What happened, in words.")
    occurred_at = serializers.DateTimeField(help_text="When it happened.")
    recorded_at = serializers.DateTimeField(help_text="When it was recorded.")
    recorded_late = serializers.BooleanField(help_text="Recorded after it happened.")
    recorded_by = RecordedByOutputSerializer(help_text="Who recorded it.")


class RecordHistoryOutputSerializer(RecordSerializer):
    """A page of the events of the record, in order."""

    results = EventOutputSerializer(many=True, help_text="Events.")
    total = serializers.IntegerField(help_text="How many events there are in all, e.g. 412.")
    next_after_version = serializers.IntegerField(
        allow_null=True,
        help_text="Send as `after_version` for the next page; null on the last one.",
    )


class RecordAsKnownOutputSerializer(RecordSerializer):
    """The record as it was known."""

    details = serializers.JSONField(help_text="Who the client is.")
    consent = serializers.JSONField(help_text="Touch consent.")
    preference = serializers.JSONField(help_text="Whom the client prefers.")
    exceptions = serializers.JSONField(help_text="Exceptions that the client agreed to.")
    reviewed_history = serializers.JSONField(help_text="As reviewed last.")
    reported_histories = serializers.JSONField(help_text="Reports not reviewed yet.")
    orders = serializers.JSONField(help_text="Orders.")
    more = serializers.JSONField(help_text="Further parts of the record, by name.")
