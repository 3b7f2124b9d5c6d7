"""On whose clock a local time was typed: the session's, the client's facility's, the practice's."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from clients.models import Client
from practice.domain.localtime import TypedTime
from practice.eventlog.runner import Work
from practice.models import Facility
from practice.selectors import visible_facility_ids
from sessions.models import Session
from sessions.selectors.facilities import zone_of


def facility_here(work: Work, client_id: UUID) -> Facility | None:
    """The client's first facility that the caller sees; None where there is none."""
    known = Client.objects.filter(pk=client_id).values_list("facility_ids", flat=True).first()
    seen = visible_facility_ids(work.actor)
    hers = [one for one in map(UUID, map(str, known or [])) if seen is None or one in seen]
    return Facility.objects.filter(pk=hers[0]).first() if hers else None


def zone_here(work: Work, client_id: UUID, session_id: UUID | None = None) -> str:
    """The zone that a local time about a client is read in, and that dates are told in.

    That of the client's session if one is named, else of her first facility that the
    caller sees, else the practice's.
    """
    if session_id is not None:
        hers = Session.objects.filter(pk=session_id, client_id=client_id)
        zone = hers.values_list("zone", flat=True).first()
        if zone is not None:
            return zone
    place = facility_here(work, client_id)
    return place.zone if place is not None else zone_of(None)


def when(
    work: Work, client_id: UUID, at: TypedTime | None, session_id: UUID | None = None
) -> datetime | None:
    """The instant that was typed; None where none was. Raises Rejected 400 in gap and fold."""
    if at is None:
        return None
    # An instant says its own offset: no zone is asked for.
    return at.at("UTC" if at.instant is not None else zone_here(work, client_id, session_id))
