"""Erasure of a record, the log of reads and refusals, checks of the log, due work."""

from __future__ import annotations

from rest_framework import serializers

from practice.api.fields import InstantField, TextField
from practice.api.serializers import Strict
from practice.due.models import DueItem
from practice.eventlog.models import AccessEntry


class ErasureForm(Strict):
    """An order to erase."""

    reason = TextField(
        max_length=400, help_text="Why, e.g. `retention of ten years has passed`. No name in it."
    )


class ErasureState(Strict):
    """Where the erasure of a record stands."""

    state = serializers.ChoiceField(
        choices=["none", "ordered", "closed", "key_destroyed"],
        help_text="`none`, `ordered` (a second person must agree), `closed`, `key_destroyed`.",
    )
    ordered_by = serializers.UUIDField(allow_null=True, help_text="Account that ordered it.")
    ordered_at = InstantField(allow_null=True, help_text="When it was ordered.")


class AccessRow(Strict):
    """A read of a client's record, or an attempt that was refused."""

    id = serializers.IntegerField(help_text="Number of the entry.")
    at = InstantField(help_text="When, e.g. `2026-03-09T16:30:00Z`.")
    staff_id = serializers.UUIDField(allow_null=True, help_text="Who; null if not signed in.")
    client_id = serializers.UUIDField(allow_null=True, help_text="Whose record, if one.")
    what = serializers.CharField(help_text="Which part, or method and path without its query.")
    outcome = serializers.ChoiceField(
        choices=AccessEntry.Outcome.choices, help_text="`read` or `refused`."
    )
    code = serializers.CharField(help_text="Why it was refused; empty for a read.")
    request_id = serializers.CharField(help_text="The request.")


class LogCheck(Strict):
    """The log against its chain, or the read tables against the log."""

    clients = serializers.IntegerField(help_text="Records checked.")
    events = serializers.IntegerField(help_text="Events checked.")
    rows = serializers.IntegerField(help_text="Rows of read tables compared; 0 for the chain.")
    faults = serializers.ListField(
        child=serializers.CharField(), help_text="What is wrong, a sentence each; empty is well."
    )


class DueRow(Strict):
    """A row of due work that is late or was given up."""

    id = serializers.IntegerField(help_text="Number of the row.")
    kind = serializers.CharField(help_text="What was to be done, e.g. `recheck`.")
    subject = serializers.UUIDField(help_text="Whom it is about.")
    due_at = InstantField(help_text="When it is or was due.")
    status = serializers.ChoiceField(
        choices=DueItem.Status.choices, help_text="`waiting`, `done`, `withdrawn`, `given_up`."
    )
    attempts = serializers.IntegerField(help_text="How often it failed.")
    last_error = serializers.CharField(help_text="Kind of the last failure.")
