"""Forms of addenda: later words, corrections, and what came in after the signature."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import SessionPart
from practice.http.fields import FlagField, InstantField, TextField, WholeNumberField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.notes.domain.commands import AddToNote, Correction
from sessions.notes.domain.content import LONGEST_TEXT
from sessions.notes.domain.events import NotePartMinutes
from sessions.notes.serializers.minutes import MINUTES_PER_DAY, MinutesField

CONFIRM = "true: more minutes than were booked are meant."


class SignatureInputSerializer(StrictSerializer):
    """What is said with a signature."""

    example = {"confirm_more_than_booked": False}

    confirm_more_than_booked = FlagField(required=False, help_text=CONFIRM)
    re_enters = serializers.UUIDField(
        required=False,
        help_text="Id of your note that was entered in error for another session or client and"
        " whose place this one takes.",
    )


class UnsentDiscardInputSerializer(StrictSerializer):
    """Why words that came in after the signature are discarded."""

    example = {"reason": "Saved twice."}

    reason = TextField(max_length=500, help_text="Why, e.g. `Saved twice.`")


class AddendumInputSerializer(StrictSerializer):
    """A later word on a signed note; what is not corrected stays."""

    example = {
        "text": "Cardio was 15 minutes.",
        "corrected_minutes": {"cardio": 15},
        "not_counted_minutes": 5,
    }

    text = TextField(
        required=False,
        allow_blank=True,
        max_length=LONGEST_TEXT,
        help_text="What is added or corrected; may be left out with `send_unsent`.",
    )
    corrected_minutes = MinutesField(
        required=False,
        help_text='The right minutes of the parts that were wrong: `{"cardio": 15}`. A part that is'
        " not named stays; 0 or null takes it out.",
    )
    not_counted_minutes = WholeNumberField(
        required=False,
        min_value=0,
        max_value=MINUTES_PER_DAY,
        help_text="The right minutes of rest, dressing and talk, where they were wrong, e.g. 5.",
    )
    started_at = InstantField(
        required=False, help_text="The right start, e.g. `2026-03-09T09:35:00-07:00`."
    )
    ended_at = InstantField(
        required=False, help_text="The right end, e.g. `2026-03-09T10:40:00-07:00`."
    )
    confirm_more_than_booked = FlagField(required=False, help_text=CONFIRM)
    send_unsent = WholeNumberField(
        required=False,
        min_value=0,
        max_value=10**9,
        help_text="Revision of the unsent words that are sent with it; else they stay, e.g. 9.",
    )

    def validate_corrected_minutes(self, value: dict[str, int | None]) -> dict[str, int | None]:
        """At least one part."""
        if not value:
            raise serializers.ValidationError("Name the parts that were wrong.")
        return value

    def to_command(self, **more: Any) -> AddToNote:
        """The addendum of the validated input."""
        given = self.validated_data
        return AddToNote(
            text=given.get("text", ""),
            correction=Correction(
                minutes=tuple(
                    NotePartMinutes(part=SessionPart(part), minutes=minutes or 0)
                    for part, minutes in (given.get("corrected_minutes") or {}).items()
                ),
                not_counted_minutes=given.get("not_counted_minutes"),
                started_at=given.get("started_at"),
                ended_at=given.get("ended_at"),
            ),
            confirmed=given.get("confirm_more_than_booked", False),
            send_unsent=given.get("send_unsent"),
            **more,
        )


class AddendumOutputSerializer(RecordSerializer):
    """What was added to a note after its signature."""

    addendum_id = serializers.UUIDField(help_text="Its id.")
    practitioner_id = serializers.UUIDField(help_text="Who added it.")
    added_at = serializers.CharField(help_text="When.")
    text = serializers.CharField(help_text="What is added.")
    corrected_minutes = serializers.JSONField(
        help_text="Whole minutes of every part after the correction; null: none was corrected."
    )
    before = serializers.JSONField(
        help_text="Minutes, start and end before the correction; null without one."
    )
    after = serializers.JSONField(help_text="The same after it.")
    late = serializers.JSONField(
        help_text="Words saved after the signature and sent with it: texts, lines; or null."
    )
