"""Stretches prescribed, re-checks, home exercises as they are sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.fields import (
    EnumField,
    InstantField,
    TextField,
)
from practice.http.serializers import BoundOnce, StrictSerializer
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck


class ReasonInputSerializer(StrictSerializer):
    """A step that takes a reason."""

    example = {"reason": "the arm feels tight again"}

    reason = TextField(max_length=1000, help_text="Why, e.g. `the arm feels tight again`.")


class RecheckOutputSerializer(BoundOnce, serializers.ModelSerializer[Any]):
    """A re-check on the call list, without degrees."""

    status = EnumField(
        RecheckStatus,
        help_text="`planned`: its day is to come; `on_call_list`: put on the call list; "
        "`maintained`: the range was kept; `regressed`: range was lost, the stretch is active "
        "again; `skipped`: not done, with the reason; `ended`: it came back or ended first.",
    )
    covered_by_session_id = serializers.UUIDField(
        allow_null=True, help_text="The session, already booked near the day, that carries it."
    )
    passed = serializers.BooleanField(
        help_text="true: this interval had gone by when a later reading was taken, so it was "
        "passed over; nobody skipped it."
    )
    next_session_at = InstantField(
        allow_null=True,
        help_text="When the client's next session starts, at any facility; null: none booked.",
    )
    overdue = serializers.BooleanField(help_text="It is open and its day has passed.")
    mail_status = serializers.ChoiceField(
        choices=["none", "not_sent_yet", "sent", "given_up", "not_wanted"],
        help_text="How the mail to the client stands. `none`: the client is to be called; "
        "`not_sent_yet`: it waits for the mail server or for the morning; `sent`; `given_up`: the "
        "server never took it, so call; `not_wanted`: the client allows no mail any more, so call.",
    )
    client_name = serializers.CharField(help_text="Whom to call; empty after an erasure.")
    client_phone = serializers.CharField(help_text="The client's phone in E.164; may be empty.")
    client_contact_by = serializers.CharField(
        help_text="How the practice may get in touch, e.g. `phone`; `none`: only in person."
    )
    practitioner_name = serializers.CharField(help_text="Who discharged the client.")
    facility_name = serializers.CharField(help_text="Where the re-check is held.")

    class Meta:
        model = Recheck
        exclude = ("version", "evaluations", "refer")


class ClinicalRecheckOutputSerializer(RecheckOutputSerializer):
    """A re-check with what was evaluated: practitioners and owner only."""

    class Meta:
        model = Recheck
        exclude = ("version",)
