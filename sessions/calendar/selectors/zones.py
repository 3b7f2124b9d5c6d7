"""On whose clock a local time was typed: the session's, the client's facility's, the practice's."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from clients.identity.models import Client
from practice.core.localtime import EnteredTime
from practice.people_and_places.selectors.facilities import visible_facility_ids
from practice.people_and_places.selectors.kept import Place, places
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of


def current_facility(uow: UnitOfWork, client_id: UUID) -> Place | None:
    """The client's first facility that the caller sees; None where there is none."""
    known = Client.objects.filter(pk=client_id).values_list("facility_ids", flat=True).first()
    seen = visible_facility_ids(uow.actor)
    visible = [one for one in map(UUID, map(str, known or [])) if seen is None or one in seen]
    return places().get(visible[0]) if visible else None


def current_zone(uow: UnitOfWork, client_id: UUID, session_id: UUID | None = None) -> str:
    """The zone that a local time about a client is read in, and that dates are told in.

    That of the client's session if one is named, else of their first facility that the
    caller sees, else the practice's.
    """
    if session_id is not None:
        named = Session.objects.filter(pk=session_id, client_id=client_id)
        zone = named.values_list("zone", flat=True).first()
        if zone is not None:
            return zone
    place = current_facility(uow, client_id)
    return place.zone if place is not None else zone_of(None)


def resolve_occurred_at(
    uow: UnitOfWork, client_id: UUID, at: EnteredTime | None, session_id: UUID | None = None
) -> datetime | None:
    """The instant that was typed; None where none was. Raises Rejected 400 in gap and fold."""
    if at is None:
        return None
    # An instant says its own offset: no zone is asked for.
    return at.at("UTC" if at.instant is not None else current_zone(uow, client_id, session_id))
