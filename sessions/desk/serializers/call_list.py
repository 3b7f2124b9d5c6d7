"""Serializers of the call list."""

from __future__ import annotations

from rest_framework import serializers

from clients.calls.selectors import call_reasons
from clients.calls.serializers import LastCallOutputSerializer
from clients.identity.domain.contact import ContactBy
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class CallListQuerySerializer(StrictSerializer):
    """Whom of the list to show."""

    facility_id = serializers.UUIDField(
        required=False, help_text="Clients who come to one facility."
    )
    client_id = serializers.UUIDField(required=False, help_text="One client.")
    reason = TextField(
        required=False, max_length=32, help_text="One reason alone, e.g. `recheck_due`."
    )

    def validate_reason(self, value: str) -> str:
        """Raises ValidationError for a word that no feature brings."""
        known = call_reasons()
        if value not in known:
            raise serializers.ValidationError(f"Give one of: {', '.join(sorted(known))}.")
        return value


class CallEntryOutputSerializer(RecordSerializer):
    """Something to call a client about."""

    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    client_phone = serializers.CharField(help_text="The client's phone in E.164; may be empty.")
    guardian = serializers.CharField(
        help_text="Who decides for the client, and their phone: who is called; or empty."
    )
    client_contact_by = EnumField(
        ContactBy, help_text="How the client may be contacted; `none`: only in person."
    )
    reason = serializers.CharField(help_text="Why, in one word: e.g. `recheck_due`.")
    about_id = serializers.UUIDField(
        help_text="What it is about, e.g. the re-check; `about` of the call that is recorded."
    )
    call_by = serializers.DateField(help_text="Call by this day.")
    text = serializers.CharField(help_text="Why, in plain words that may be told.")
    their_time = serializers.CharField(help_text="What time it is where the client is, `14:05`.")
    call_from = InstantField(
        allow_null=True,
        help_text="Not before, on the client's clock: by the hours of contact that they named, "
        "else it is an hour at which nobody is written to; null: now.",
    )
    best_time = serializers.CharField(
        help_text="When they are best called there, in their words, e.g. `after five`; or empty."
    )
    last_call = LastCallOutputSerializer(
        allow_null=True, help_text="The last call about it and what came of it; null: none yet."
    )
