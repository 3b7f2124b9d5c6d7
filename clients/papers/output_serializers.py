"""Papers as they are shown."""

from __future__ import annotations

from rest_framework import serializers

from clients.papers.domain.terms import (
    PaperChannel,
    PaperKind,
    PaperOutcome,
    PaperStatus,
    PaperStepKind,
)
from clients.papers.serializers import AskedForSerializer, AskedOfSerializer
from practice.http.fields import EnumField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer


class PaperStepOutputSerializer(RecordSerializer):
    """Something that happened to a paper."""

    id = serializers.UUIDField(help_text="Id of the step.")
    kind = EnumField(PaperStepKind, help_text="E.g. `sent`.")
    on = serializers.DateField(help_text="On which day.")
    channel = EnumField(PaperChannel, allow_null=True, help_text="How, if it was sent or reminded.")
    by = serializers.CharField(help_text="By whom it was answered; else empty.")
    outcome = EnumField(PaperOutcome, allow_null=True, help_text="Of an answer.")
    expires_on = serializers.DateField(allow_null=True, help_text="Last day, of an answer.")
    order_id = serializers.UUIDField(allow_null=True, help_text="The order filed from it.")
    words = serializers.CharField(help_text="What to know; of an answer not for the front desk.")
    in_error = serializers.CharField(help_text="Why it does not count; empty where it does.")


class HeldSessionOutputSerializer(RecordSerializer):
    """A booked session that waits for a paper."""

    session_id = serializers.UUIDField(help_text="Id of the session.")
    starts_at = serializers.CharField(help_text="Start in the facility's own time, with offset.")
    hands_on = serializers.CharField(help_text="Until then by hand: `all`, `part`, `nothing`.")
    reasons = ReasonSerializer(many=True, help_text="Why, as the caller may read it.")
    stretches = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        help_text="Stretches closed for want of it, by name; not for the front desk.",
    )


class PaperOutputSerializer(RecordSerializer):
    """A paper that is or was waited for."""

    id = serializers.UUIDField(help_text="Id of the paper.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Name of the client.")
    kind = EnumField(PaperKind, help_text="E.g. `clearance`.")
    title = serializers.CharField(help_text="What it is called, e.g. `signed plan of care`.")
    status = EnumField(PaperStatus, help_text="`waiting`, `answered` or `withdrawn`.")
    outcome = serializers.CharField(help_text="`given`, `partly`, `refused`; else empty.")
    asked_of = AskedOfSerializer(help_text="Who was asked, and how they are reached.")
    asked_for = AskedForSerializer(required=False, help_text="What for; not for the front desk.")
    asked_on = serializers.DateField(help_text="When it was asked for.")
    waiting_days = serializers.IntegerField(
        allow_null=True, help_text="Days since then, while it is waited for."
    )
    needed_by = serializers.DateField(help_text="When it is needed.")
    overdue = serializers.BooleanField(help_text="It is waited for after that day.")
    expires_on = serializers.DateField(allow_null=True, help_text="Last day that it holds.")
    expiring = serializers.BooleanField(help_text="That day is near (setting `expiring_days`).")
    sent_on = serializers.DateField(allow_null=True, help_text="When it was sent last.")
    reminded_on = serializers.DateField(allow_null=True, help_text="Last reminder.")
    answered_on = serializers.DateField(allow_null=True, help_text="When it was answered.")
    order_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Orders that were filed from its answer."
    )
    warnings = ReasonSerializer(many=True, help_text="What is left to do, e.g. file the order.")
    holds_up = HeldSessionOutputSerializer(
        many=True, help_text="Booked sessions of which something waits for it, by start."
    )
    steps = PaperStepOutputSerializer(many=True, help_text="What happened to it, oldest first.")
    corrections = serializers.ListField(
        child=serializers.CharField(), help_text="Why it was put right, each time."
    )
    version = serializers.IntegerField(help_text="Version of the record at its last change.")


class ExpiringOutputSerializer(RecordSerializer):
    """Something on record that ends soon."""

    kind = serializers.CharField(help_text="`clearance`, `plan_signature`, `authorization`.")
    id = serializers.UUIDField(help_text="Id of the order or authorization.")
    expires_on = serializers.DateField(help_text="Last day.")
    ask = serializers.CharField(help_text="Of whom a new one is to be asked.")


class PaperListOutputSerializer(RecordSerializer):
    """The client's papers."""

    results = PaperOutputSerializer(many=True, help_text="Those needed first come first.")
    expiring = ExpiringOutputSerializer(
        many=True, help_text="Orders and authorizations that end soon, by their last day."
    )
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")
