"""Serializers of how a session ends: called off, missed, stopped."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import EnumField, FlagField, InstantField, TextField, WholeNumberField
from practice.http.serializers import StrictSerializer
from sessions.calendar.domain.terms import CancelledBy


class SessionCancelInputSerializer(StrictSerializer):
    """Who calls a session off, and why."""

    example = {"by": "client", "reason": "Has a cold."}

    by = EnumField(CancelledBy, help_text="Who: `client` or `practice`.")
    reason = TextField(max_length=500, help_text="Why, e.g. `Has a cold.`")
    occurred_at = InstantField(
        required=False,
        help_text="When the practice was told, if it is entered later; the notice counts from it.",
    )


class SessionNoShowInputSerializer(StrictSerializer):
    """The client did not come."""

    example = {"reason": "No answer on the phone."}

    reason = TextField(
        required=False, allow_blank=True, max_length=500, help_text="What is known, if anything."
    )


class SessionStopInputSerializer(StrictSerializer):
    """Hands-on work was stopped."""

    example = {"minute": 25, "everything": False, "reason": "It is too much today."}

    minute = WholeNumberField(
        min_value=0, max_value=1440, help_text="Minute from the start, e.g. 25."
    )
    everything = FlagField(
        required=False,
        help_text="true: the session ended; false: the client went on without touch.",
    )
    last_line_id = serializers.UUIDField(
        required=False, help_text="The last line that was done before it."
    )
    reason = TextField(
        required=False, allow_blank=True, max_length=500, help_text="The client's words, if any."
    )
    occurred_at = InstantField(required=False, help_text="When, if it is entered later.")
