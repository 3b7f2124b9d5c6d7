"""Serializers of what a client asks for: what is on record."""

from __future__ import annotations

from rest_framework import serializers

from billing.record_requests.domain.decisions import AskedBy, RequestRecord
from clients.record.serializers import RecordAsKnownOutputSerializer
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class RecordRequestInputSerializer(StrictSerializer):
    """Who asks what is on record."""

    command = RequestRecord
    example = {"asked_by": "client", "purpose": "wants to read it before the next visit"}

    asked_by = EnumField(
        AskedBy, required=False, help_text="Who asked and gets it: `client` (default), `guardian`."
    )
    purpose = TextField(
        required=False, max_length=200, help_text="What for, in a few words, without a name."
    )


class RecordRequestReferenceOutputSerializer(RecordSerializer):
    """The request, and where what is given is read and printed."""

    id = serializers.UUIDField(help_text="Id of the request, and of the disclosure.")
    made_at = InstantField(help_text="The record is given as it was at this instant.")
    recipient = serializers.CharField(help_text="Who gets it: `the client` or `the guardian`.")
    sha256 = serializers.CharField(help_text="SHA-256 of the record that is given.")
    record = serializers.CharField(help_text="Address of the record as data.")
    printout = serializers.CharField(help_text="Address of the page to print.")


class RecordCopyOutputSerializer(RecordSerializer):
    """What was given."""

    id = serializers.UUIDField(help_text="Id of the request, and of the disclosure.")
    made_at = InstantField(help_text="The record is given as it was at this instant.")
    recipient = serializers.CharField(help_text="Who got it.")
    as_given = serializers.BooleanField(
        help_text="It is told as it was then, by its SHA-256; false: the program tells it in other "
        "words since."
    )
    record = RecordAsKnownOutputSerializer(help_text="All that was on record.")
