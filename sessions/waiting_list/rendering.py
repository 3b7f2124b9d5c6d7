"""Entries of the waiting list as shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from clients.identity.display_names import with_display_names
from practice.core.localtime import zone_named
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.waiting_list.models import WaitingEntry
from sessions.waiting_list.selectors import waiting_row
from sessions.waiting_list.serializers import WaitingOutputSerializer, clock_time
from sessions.waiting_list.services import OfferedTime

_COMPUTED = {"earliest", "latest", "offers"}
_COLUMNS = [name for name in WaitingOutputSerializer().get_fields() if name not in _COMPUTED]


def render_waiting(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The entry as it stands after a command."""
    return Representation(serialize_waiting(waiting_row(outcome.entity_id)))


def render_offered(uow: UnitOfWork, offered: OfferedTime) -> Representation:
    """The entry with the new offer, and what a booking of it would be warned of."""
    shown = serialize_waiting(waiting_row(offered.outcome.entity_id))
    warnings = shown_reasons(uow.actor.role, offered.warnings)
    return Representation({**shown, "warnings": warnings})


def serialize_waiting(row: WaitingEntry) -> Any:
    """An entry with the client's name and phone."""
    if not hasattr(row, "client_name"):
        with_display_names([row])
    return WaitingOutputSerializer(
        {
            **{name: getattr(row, name) for name in _COLUMNS},
            "earliest": clock_time(row.earliest),
            "latest": clock_time(row.latest),
            "offers": [_offer(one) for one in row.offers],
        }
    ).data


def _offer(offer: dict[str, Any]) -> dict[str, Any]:
    here = zone_named(offer["zone"])
    local = {
        name: datetime.fromisoformat(offer[name]).astimezone(here)
        for name in ("starts_at", "ends_at")
    }
    # What is not said in an offer that was made before it could be.
    unsaid = {"answered_by": None, "room_id": None, "class_id": None, "overruled": ""}
    return {**unsaid, **offer, **local}
