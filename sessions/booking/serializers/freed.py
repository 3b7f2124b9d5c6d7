"""A session whose time came free, and who waits for one like it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Role
from practice.http.fields import InstantField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField, shown_reasons
from practice.http.serializers import RecordSerializer
from sessions.booking.serializers.sessions import SessionOutputSerializer
from sessions.booking.services.freed import WaitingFit, WaitingFits


class WaitingFitOutputSerializer(RecordSerializer):
    """A client who waits, whom the time suits and who may be booked in it."""

    waiting_id = serializers.UUIDField(help_text="Id of the entry on the waiting list.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    client_contact_by = serializers.CharField(help_text="How the client wants to be reached.")
    asked_at = serializers.DateTimeField(help_text="Since when the client waits.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End of a session of the length that is waited for.")
    note = serializers.CharField(help_text="What was said of it; may be empty.")
    offered = serializers.BooleanField(help_text="An offer to the client is open.")
    mode = ModeField(help_text="What a session then would be planned as.")
    reasons = ReasonForm(many=True, help_text="Why it would be no more than that.")


class WaitingFitsOutputSerializer(RecordSerializer):
    """Who waits for a time that came free."""

    count = serializers.IntegerField(help_text="So many may be booked in it.")
    more = serializers.BooleanField(help_text="Not all who wait were looked at.")
    first = WaitingFitOutputSerializer(many=True, help_text="Who waits longest, three at most.")


class FreedSessionOutputSerializer(SessionOutputSerializer):
    """A session that was called off, moved or entered in error, and who waits for its time."""

    waiting_fits = WaitingFitsOutputSerializer(
        help_text="Who on the waiting list may have the time that came free."
    )


def serialize_fits(role: Role, found: WaitingFits) -> dict[str, Any]:
    """How many may have a time that came free, and the first of them."""
    first = [serialize_fit(role, one) for one in found.first]
    return {"count": len(found.fits), "more": found.more, "first": first}


def serialize_fit(role: Role, fit: WaitingFit) -> dict[str, Any]:
    """A fit as one role may read it."""
    columns = [one for one in WaitingFitOutputSerializer().get_fields() if one != "reasons"]
    shown = {name: getattr(fit, name) for name in columns}
    return {**shown, "reasons": shown_reasons(role, fit.reasons)}
