"""Fields that several forms of the clients app have."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.fields import InstantField
from practice.http.serializers import RecordSerializer

LONGEST_TEXT = 2000


def occurred_at_field() -> InstantField:
    """When it happened, for what is entered late."""
    return InstantField(
        required=False,
        help_text="When it happened, with offset, if not now: `2026-03-02T09:30:00-05:00`.",
    )


def language_field(help_text: str, **more: Any) -> serializers.RegexField:
    """A language by its BCP 47 tag."""
    return serializers.RegexField(
        r"\A[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*\Z",
        max_length=20,
        help_text=help_text,
        error_messages={"invalid": "Give a BCP 47 tag, e.g. `en` or `es-MX`."},
        **more,
    )


class RecordVersionOutputSerializer(RecordSerializer):
    """The version of the record that a change led to; send it as If-Match next time."""

    version = serializers.IntegerField(help_text="Version of the client's record, e.g. 12.")
