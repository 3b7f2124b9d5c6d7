"""Registering a client and changing the details."""

from __future__ import annotations

import msgspec

from clients.identity.domain import dates
from clients.identity.domain.commands import ChangeDetails
from clients.identity.domain.events import (
    ClientDetails,
    ClientDetailsChanged,
    ClientRegistered,
    ContactBy,
)
from clients.identity.domain.state import Identity
from practice.core.decisions import Context, Decided
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid


def register_client(state: Identity, details: ClientDetails, ctx: Context) -> Decided:
    """A new client. Raises Rejected 400 for details that cannot be."""
    if state.details is not None:
        raise Rejected("already_registered", "This client is registered already.")
    check_details(details, ctx)
    return [ClientRegistered(details=details)]


def change_details(state: Identity, command: ChangeDetails, ctx: Context) -> Decided:
    """New details; nothing where nothing is new."""
    if state.details is None:
        raise Rejected("not_registered", "This client was never registered.")
    details = msgspec.structs.replace(state.details, **command.changes)
    if details == state.details:
        return []
    check_details(details, ctx)
    return [ClientDetailsChanged(details=details)]


def check_details(details: ClientDetails, ctx: Context) -> None:
    """Raises Rejected 400 for a birth date, contact or place that cannot be."""
    dates.check_birth_date(details.birth_date, local_day(ctx.now, details.zone))
    if details.contact_by is ContactBy.MAIL and not details.email:
        raise invalid("email", "Give the address, or another way of contact.")
    if details.contact_by in (ContactBy.TEXT, ContactBy.PHONE) and not details.phone:
        raise invalid("phone", "Give the number, or another way of contact.")
    if not details.facility_ids:
        raise invalid("facility_ids", "Name at least one facility where the client is seen.")
