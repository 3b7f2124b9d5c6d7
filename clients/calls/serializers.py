"""Serializers of calls to clients."""

from __future__ import annotations

from rest_framework import serializers

from clients.calls.domain.decisions import RecordCall
from clients.calls.domain.events import CallOutcome
from clients.identity.fields import occurred_at_field
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class CallInputSerializer(StrictSerializer):
    """What came of a call."""

    command = RecordCall
    example = {"outcome": "left_message", "note": "Asked to call back."}

    outcome = EnumField(CallOutcome, help_text="E.g. `reached`; `call_again` needs `again_at`.")
    about = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="`about_id`s of the call list that were spoken of; default all that it has of "
        "the client.",
    )
    again_at = InstantField(
        required=False, help_text="When to call again, with offset: hidden until then."
    )
    note = TextField(
        required=False, allow_blank=True, max_length=500, help_text="In the caller's words."
    )
    occurred_at = occurred_at_field()


class CallSubjectOutputSerializer(RecordSerializer):
    """What a call was about."""

    reason = serializers.CharField(help_text="The word of the reason, e.g. `recheck_due`.")
    id = serializers.UUIDField(help_text="Id of the thing, e.g. of the re-check.")


class LastCallOutputSerializer(RecordSerializer):
    """A call and what came of it."""

    called_at = InstantField(help_text="When.")
    called_by_name = serializers.CharField(help_text="Who called; empty if nobody on the staff.")
    outcome = EnumField(CallOutcome, help_text="What came of it, e.g. `no_answer`.")
    again_at = InstantField(allow_null=True, help_text="When to call again, if that was said.")


class CallOutputSerializer(LastCallOutputSerializer):
    """A call with what it was about."""

    id = serializers.UUIDField(help_text="Id of the call.")
    about = CallSubjectOutputSerializer(
        many=True, source="subjects", help_text="What was spoken of."
    )
    note = serializers.CharField(help_text="In the caller's words; may be empty.")
