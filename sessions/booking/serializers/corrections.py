"""What is asked to set a slip right, to clear a red flag and to review free words."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.health.domain.terms import RedFlag
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.calendar.domain.terms import CancelledBy, CorrectedStatus


class SessionCorrectionInputSerializer(StrictSerializer):
    """What the session is in truth, and why it is corrected."""

    example = {"status": "booked", "reason": "Ticked on the wrong row."}

    status = EnumField(
        CorrectedStatus,
        help_text="`booked`: take back arrival, no-show or cancellation; `no_show`; `cancelled`.",
    )
    reason = TextField(max_length=500, help_text="Why, e.g. `Ticked on the wrong row.`")
    by = EnumField(
        CancelledBy, required=False, help_text="For `cancelled`: who called it off, `client`."
    )
    cause = TextField(
        required=False, max_length=500, help_text="For `cancelled`: why, e.g. `Has a cold.`"
    )
    told_at = InstantField(
        required=False,
        help_text="For `cancelled`: when the practice was told, e.g. `2026-03-08T16:20:00Z`; the "
        "notice counts from then. Left out, the notice on record stays.",
    )


class SessionInErrorInputSerializer(StrictSerializer):
    """Why a session should not stand where it does."""

    example = {"reason": "It was another client."}

    reason = TextField(max_length=500, help_text="Why, e.g. `It was another client.`")


class RedFlagClearanceInputSerializer(StrictSerializer):
    """Which sign was looked at, and what was found."""

    example = {"red_flag": "new_swelling", "found": "Seen by the physician: a bruise."}

    red_flag = EnumField(RedFlag, help_text="The sign, e.g. `new_swelling`.")
    found = TextField(
        max_length=2000, help_text="What was found, e.g. `Seen by the physician: a bruise.`"
    )


class WordsReviewInputSerializer(StrictSerializer):
    """Which words were read, and what they mean."""

    example = {"words": ["my hand tingles"], "found": "Slept on it; gone since noon."}

    words = serializers.ListField(
        child=TextField(max_length=1000),
        min_length=1,
        max_length=50,
        help_text="The words as they were said, e.g. `my hand tingles`.",
    )
    found = TextField(
        max_length=2000, help_text="What was found, e.g. `Slept on it; gone since noon.`"
    )
    red_flags = serializers.ListField(
        child=EnumField(RedFlag),
        required=False,
        max_length=20,
        help_text="Signs that they turned out to be, e.g. `new_nerve_pain`; left out: none.",
    )

    def to_command(self, **more: Any) -> dict[str, Any]:
        """``words``, ``found`` and ``red_flags``."""
        given = dict(self.validated_data)
        given["words"] = tuple(given["words"])
        given["red_flags"] = tuple(given.get("red_flags", ()))
        return {**given, **more}


class StandingFlagOutputSerializer(RecordSerializer):
    """A red flag that nobody has cleared."""

    red_flag = EnumField(RedFlag, help_text="The sign, e.g. `chest_pain`.")
    session_id = serializers.UUIDField(help_text="The session that it was said in.")
    said_on = serializers.DateField(help_text="The local day of that session, e.g. `2026-03-09`.")
    emergency_today = serializers.BooleanField(
        help_text="true: the sign of an emergency that nobody clears today."
    )


class WaitingWordsOutputSerializer(RecordSerializer):
    """Free words that nobody has reviewed."""

    words = serializers.CharField(help_text="As they were said, e.g. `my hand tingles`.")
    session_id = serializers.UUIDField(help_text="The session that they were said in.")
    said_on = serializers.DateField(help_text="The local day of that session, e.g. `2026-03-09`.")


class ClientSignsOutputSerializer(RecordSerializer):
    """What stands against work until a practitioner who may evaluate has looked."""

    red_flags = StandingFlagOutputSerializer(many=True, help_text="Signs that nobody has cleared.")
    words = WaitingWordsOutputSerializer(many=True, help_text="Words that nobody has reviewed.")
