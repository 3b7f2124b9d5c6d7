"""Serializers of a client's history by date."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.record.by_date import history_kinds
from clients.record.serializers import EventOutputSerializer
from practice.http.fields import DayField, TextField
from practice.http.serializers import StrictSerializer


class HistoryByDateQuerySerializer(StrictSerializer):
    """Which entries."""

    kind = TextField(
        required=False,
        max_length=40,
        help_text="Of one kind: `calendar`, `notes`, `measurements`, `stretches`, `consent`, "
        "`papers`, `orders`, `health`, `incidents`, `calls` and the others that `kind` shows.",
    )
    to = DayField(
        required=False, help_text="On this day of the client's calendar or before, `2026-03-31`."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="Recorded by a practitioner.")

    def get_fields(self) -> dict[str, Any]:
        """``from`` is no name in Python."""
        first = DayField(
            required=False,
            source="from_",
            help_text="On this day of the client's calendar or after, `2026-03-01`.",
        )
        return {**super().get_fields(), "from": first}

    def validate_kind(self, value: str) -> str:
        """Raises ValidationError for a word that no feature brings."""
        known = history_kinds()
        if value not in known:
            raise serializers.ValidationError(f"Give one of: {', '.join(known)}.")
        return value


class HistoryEntryOutputSerializer(EventOutputSerializer):
    """Something that happened, by the day on which it did."""

    day = serializers.DateField(help_text="Day of the client's own calendar.")
    kind = serializers.CharField(help_text="Whose event it is, e.g. `measurements`.")
    kind_label = serializers.CharField(help_text="The kind in plain words, e.g. `Measurement`.")
    about = serializers.DictField(
        child=serializers.UUIDField(),
        help_text="Ids of what it is about, by name, e.g. `session_id`.",
    )
