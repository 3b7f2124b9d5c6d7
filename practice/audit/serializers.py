"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from rest_framework import serializers

from practice.accesslog.models import AccessEntry
from practice.http.fields import FlagField, InstantField, TextField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import StrictSerializer
from practice.jobs.models import ScheduledJob


class ErasureInputSerializer(StrictSerializer):
    """An order to erase."""

    example = {"reason": "asked for by letter", "before_retention": True}

    reason = TextField(
        max_length=400, help_text="Why, e.g. `retention of ten years has passed`. No name in it."
    )
    before_retention = FlagField(
        required=False,
        help_text="true to order it before the practice's retention has passed, e.g. false.",
    )


class ErasureOutputSerializer(StrictSerializer):
    """Where the erasure of a record stands."""

    state = serializers.ChoiceField(
        choices=["none", "ordered", "closed", "key_destroyed"],
        help_text="`none`, `ordered` (a second person must agree), `closed`, `key_destroyed`.",
    )
    ordered_by = serializers.UUIDField(allow_null=True, help_text="Account that ordered it.")
    ordered_at = InstantField(allow_null=True, help_text="When it was ordered.")
    reason = serializers.CharField(
        allow_null=True, help_text="Why; null once closed: free text does not survive."
    )
    before_retention = serializers.BooleanField(
        help_text="Whether it was ordered before the retention had passed, e.g. false."
    )
    retained_until = serializers.DateField(
        allow_null=True,
        help_text="Last day of the practice's retention, e.g. `2032-03-09`: by the order, or"
        " without one by the present setting.",
    )
    approved_by = serializers.UUIDField(allow_null=True, help_text="The second person's account.")
    approved_at = InstantField(allow_null=True, help_text="When it was agreed to and closed.")
    key_destroyed_at = InstantField(allow_null=True, help_text="When the key was destroyed.")
    warnings = ReasonSerializer(
        many=True, help_text="What stands open in the record; it forbids nothing."
    )


class AccessEntryOutputSerializer(StrictSerializer):
    """A read of a client's record, or an attempt that was refused."""

    id = serializers.IntegerField(help_text="Number of the entry.")
    occurred_at = InstantField(help_text="When, e.g. `2026-03-09T16:30:00Z`.")
    staff_id = serializers.UUIDField(allow_null=True, help_text="Who; null if not signed in.")
    staff_name = serializers.CharField(help_text="Their name now, e.g. `Ana Rivera`; or empty.")
    client_id = serializers.UUIDField(allow_null=True, help_text="Whose record, if one.")
    what = serializers.CharField(help_text="Which part, or method and path without its query.")
    outcome = serializers.ChoiceField(
        choices=AccessEntry.Outcome.choices, help_text="`read` or `refused`."
    )
    code = serializers.CharField(help_text="Why it was refused; empty for a read.")
    request_id = serializers.CharField(help_text="The request.")
    asked = serializers.CharField(
        allow_null=True,
        help_text='Of a search what was asked for, e.g. `{"name": "mar"}`; null of any other'
        " entry, and once the client found was erased.",
    )


class LogVerificationOutputSerializer(StrictSerializer):
    """The log against its chain."""

    clients = serializers.IntegerField(help_text="Records checked.")
    events = serializers.IntegerField(help_text="Events checked.")
    faults = serializers.ListField(
        child=serializers.CharField(), help_text="What is wrong, a sentence each; empty is well."
    )
    notes = serializers.ListField(
        child=serializers.CharField(), help_text="What could not be checked, a sentence each."
    )


class LogComparisonOutputSerializer(StrictSerializer):
    """The read tables and jobs against the log."""

    clients = serializers.IntegerField(help_text="Records compared.")
    events = serializers.IntegerField(help_text="Events compared.")
    faults = serializers.ListField(
        child=serializers.CharField(), help_text="What differs, a sentence each; empty is well."
    )

    rows = serializers.IntegerField(help_text="Rows of read tables compared.")


class LogComparisonTaskOutputSerializer(StrictSerializer):
    """A comparison of a large log: how far it is, and what came of it."""

    id = serializers.UUIDField(help_text="Number of the comparison.")
    state = serializers.ChoiceField(
        choices=["waiting", "running", "finished"],
        help_text="`waiting` for a worker, `running`, `finished`.",
    )
    requested_at = InstantField(help_text="When it was asked for, e.g. `2026-03-09T16:30:00Z`.")
    finished_at = InstantField(allow_null=True, help_text="When it was finished, or null.")
    clients = serializers.IntegerField(help_text="Records compared so far, e.g. 400.")
    clients_in_all = serializers.IntegerField(help_text="Records when it was asked for, e.g. 950.")
    events = serializers.IntegerField(help_text="Events compared so far.")
    rows = serializers.IntegerField(help_text="Rows of read tables compared so far.")
    fault_count = serializers.IntegerField(help_text="How many differences so far; 0 is well.")
    faults = serializers.ListField(
        child=serializers.CharField(), help_text="The first 1,000 of them, a sentence each."
    )


class JobsPutBackInputSerializer(StrictSerializer):
    """Work that was given up is to be tried again."""

    example = {"reason": "the mail server is back"}

    reason = TextField(max_length=400, help_text="Why, e.g. `the mail server is back`. No name.")


class JobsPutBackOutputSerializer(StrictSerializer):
    """What was put back."""

    put_back = serializers.IntegerField(help_text="How many rows are due again now, e.g. 3.")


class JobOutputSerializer(StrictSerializer):
    """A job: waiting, done, withdrawn or given up."""

    id = serializers.IntegerField(help_text="Number of the row.")
    kind = serializers.CharField(help_text="What was to be done, e.g. `recheck`.")
    subject = serializers.UUIDField(help_text="Whom it is about.")
    due_at = InstantField(help_text="When it is or was due.")
    status = serializers.ChoiceField(
        choices=ScheduledJob.Status.choices,
        help_text="`waiting`, `done`, `withdrawn`, `given_up`: it failed for days and may be put"
        " back, `not_wanted`: it came due and was wanted no more.",
    )
    attempts = serializers.IntegerField(
        help_text="How often it failed since it was planned or put back, e.g. 0."
    )
    first_failed_at = InstantField(
        allow_null=True, help_text="When it first failed since then; null: it did not."
    )
    last_error = serializers.CharField(help_text="Kind of the last failure.")
