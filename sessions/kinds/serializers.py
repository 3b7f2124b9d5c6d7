"""Kinds of session as they are sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.fields import EnumField, FlagField, NameField, WholeNumberField
from practice.http.serializers import StrictSerializer
from sessions.calendar.domain.held_time import LONGEST_BUFFER
from sessions.calendar.domain.terms import SessionPurpose


def _buffer(when: str) -> Any:
    return WholeNumberField(
        required=False,
        min_value=0,
        max_value=LONGEST_BUFFER,
        help_text=f"Minutes {when} it in which practitioner and room are not free, e.g. 10.",
    )


class SessionKindSerializer(StrictSerializer):
    """A kind of session."""

    example = {
        "name": "First evaluation",
        "purpose": "evaluation",
        "default_minutes": 75,
        "lengths": [60, 75, 90],
        "buffer_before": 5,
        "buffer_after": 10,
        "hands_on": True,
        "private_room": True,
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the kind.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    name = NameField(max_length=60, help_text="Its name, e.g. `First evaluation`.")
    purpose = EnumField(SessionPurpose, help_text="What it is for, e.g. `evaluation`.")
    default_minutes = WholeNumberField(
        min_value=1, max_value=1440, help_text="Its usual length in minutes, e.g. 75."
    )
    lengths = serializers.ListField(
        child=WholeNumberField(min_value=1, max_value=1440),
        required=False,
        min_length=1,
        max_length=12,
        help_text="The lengths it comes in, in minutes, the usual one among them, e.g. 60, 75.",
    )
    buffer_before = _buffer("before")
    buffer_after = _buffer("after")
    hands_on = FlagField(
        required=False, help_text="false: it is self-directed by nature; true where not said."
    )
    private_room = FlagField(required=False, help_text="Whether it needs a private room.")
    is_active = FlagField(required=False, help_text="false once it is not offered any more.")
