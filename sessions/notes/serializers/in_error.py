"""Forms of what was signed and entered in error, and of drafts that are discarded."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import FlagField, InstantField, TextField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.notes.serializers.notes import (
    DraftOutputSerializer,
    MeasuredOutputSerializer,
    SignedNoteOutputSerializer,
)


class NoteInErrorInputSerializer(StrictSerializer):
    """Why a note must not stand."""

    example = {"reason": "Written for another client."}

    reason = TextField(max_length=500, help_text="Why, e.g. `Written for another client.`")
    with_readings = FlagField(
        required=False,
        help_text="true: readings, circumferences and posture findings that name the session are"
        " entered in error with it.",
    )


class DraftDiscardInputSerializer(StrictSerializer):
    """Why a draft is discarded."""

    example = {"reason": "The session was called off."}

    reason = TextField(max_length=500, help_text="Why, e.g. `The session was called off.`")


class NoteInErrorOutputSerializer(RecordSerializer):
    """What entering a note in error left."""

    note_id = serializers.UUIDField(help_text="The note that was entered in error.")
    session_id = serializers.UUIDField(help_text="Its session, which stands.")
    session_status = serializers.CharField(help_text="`arrived`: it has no note again.")
    reason = serializers.CharField(help_text="Why.")
    draft = DraftOutputSerializer(
        allow_null=True,
        help_text="Your draft of the new note; its revision is what is saved upon. null to others.",
    )
    measured = MeasuredOutputSerializer(help_text="What was measured in the session and stands.")
    warnings = ReasonForm(many=True, help_text="What to see to now.")


class SignedNoteInErrorOutputSerializer(SignedNoteOutputSerializer):
    """A note as it was signed, before it was entered in error."""

    entered_in_error_at = InstantField(help_text="When it was entered in error.")
    entered_in_error_by = serializers.UUIDField(help_text="The staff member who did.")
