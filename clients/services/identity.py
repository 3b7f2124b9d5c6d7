"""Registering clients and changing their details."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

import msgspec

from clients.domain.commands import ChangeDetails
from clients.domain.deciding import registering
from clients.domain.events import Details
from clients.domain.identity import IDENTITY
from clients.selectors import client_get
from practice.domain.reasons import invalid
from practice.eventlog.runner import Outcome, Work
from practice.models import Facility
from practice.selectors import visible_facilities


def client_register(work: Work, *, client_id: UUID, details: dict[str, Any]) -> Outcome:
    """Register a client whose data key was made by ``new_client_stream``.

    Without facilities she is known where the member of staff works; without a zone she
    has that of the first facility. Raises Rejected 400 for details that cannot be.
    """
    places = _places(work, details.get("facility_ids"))
    given = {
        **details,
        "zone": details.get("zone") or places[0].zone,
        "facility_ids": tuple(place.id for place in places),
    }
    whole = msgspec.convert(given, Details)
    work.create(client_id)
    return work.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.register(states[IDENTITY], whole, ctx),
    )


def client_change(
    work: Work, *, client_id: UUID, changes: dict[str, Any], if_match: int | None = None
) -> Outcome:
    """Change some of her details. Facilities that the caller does not see stay."""
    work.lock(client_id)
    client = client_get(work.actor, client_id)
    if "facility_ids" in changes:
        seen = set(visible_facilities(work.actor).values_list("pk", flat=True))
        kept = [UUID(one) for one in client.facility_ids if UUID(one) not in seen]
        new = [place.id for place in _places(work, changes["facility_ids"])]
        changes = {**changes, "facility_ids": tuple(sorted({*kept, *new}))}
    command = ChangeDetails(changes=changes)
    return work.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.change(states[IDENTITY], command, ctx),
        if_match=if_match,
    )


def _places(work: Work, wanted: Iterable[UUID] | None) -> list[Facility]:
    """The facilities named, or those of the caller. Raises Rejected 400 for one not seen."""
    mine = visible_facilities(work.actor).filter(is_active=True).order_by("id")
    if wanted is None:
        places = list(mine)
    else:
        asked = set(wanted)
        places = list(mine.filter(pk__in=asked))
        if len(places) != len(asked):
            raise invalid("facility_ids", "One of these is no facility that you see.")
    if not places:
        raise invalid("facility_ids", "Name at least one facility where she comes.")
    return places
