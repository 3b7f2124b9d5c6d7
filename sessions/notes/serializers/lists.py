"""Serializers of the lists of notes."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import DayField, EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.calendar.domain.session_state import SessionStatus


class UnsignedNoteOutputSerializer(RecordSerializer):
    """A session that is over and whose note nobody has signed; no word of the note."""

    session_id = serializers.UUIDField(help_text="The session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name.")
    practitioner_id = serializers.UUIDField(help_text="Whose note it is.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    facility_id = serializers.UUIDField(help_text="Where.")
    facility_name = serializers.CharField(help_text="Its name.")
    local_date = serializers.DateField(help_text="The local day of the session.")
    ends_at = InstantField(help_text="When the session ended, as booked.")
    age_hours = serializers.IntegerField(help_text="Whole hours since then, e.g. 50.")
    overdue = serializers.BooleanField(help_text="Longer than the practice gives for a note.")
    draft_revision = serializers.IntegerField(
        allow_null=True, help_text="Revision of the draft; null: nothing is written yet."
    )
    draft_saved_at = InstantField(allow_null=True, help_text="When it was last saved.")


class UnsentWordsOutputSerializer(RecordSerializer):
    """A draft that no signature will take; no word of it."""

    session_id = serializers.UUIDField(help_text="The session: its note shows the words.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name.")
    practitioner_id = serializers.UUIDField(help_text="Who wrote it.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    local_date = serializers.DateField(help_text="The local day of the session.")
    session_status = EnumField(SessionStatus, help_text="Where the session stands.")
    left_to = serializers.CharField(
        allow_blank=True, help_text="Whose session it is now; empty where it is the author's."
    )
    updated_at = InstantField(help_text="When it was last saved.")


class NoteSearchInputSerializer(StrictSerializer):
    """What is looked for in the caller's own notes."""

    example = {"text": "arm is less tight", "from": "2026-01-01", "to": "2026-03-31"}

    text = TextField(min_length=3, max_length=120, help_text="Words as they stand in the note.")
    to = DayField(required=False, help_text="To this local day; today if left out.")
    client_id = serializers.UUIDField(required=False, help_text="Of one client alone.")

    def get_fields(self) -> dict[str, serializers.Field]:  # type: ignore[type-arg]
        """With ``from``, which the language keeps for itself."""
        told = "From this local day; a year before `to` if left out."
        return {**super().get_fields(), "from": DayField(required=False, help_text=told)}


class NoteFoundOutputSerializer(RecordSerializer):
    """A signed note in which a text occurs."""

    id = serializers.UUIDField(help_text="Id of the note.")
    session_id = serializers.UUIDField(help_text="Its session, where it is read.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name.")
    local_date = serializers.DateField(help_text="The local day of the session.")
    subjective = serializers.CharField(help_text="What the client says.")
    objective = serializers.CharField(help_text="What is seen and measured.")
    assessment = serializers.CharField(help_text="What it means.")
    plan = serializers.CharField(help_text="What comes next.")
    other_words = serializers.ListField(
        child=serializers.CharField(),
        help_text="What was said of its lines, and its addenda, e.g. `Cardio was 15 minutes.`",
    )
