"""Registering clients and changing their details."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

import msgspec

from clients.identity.domain import decisions as registering
from clients.identity.domain.commands import ChangeDetails
from clients.identity.domain.events import ClientDetails
from clients.identity.domain.state import IDENTITY
from clients.identity.selectors import client_get
from practice.core.reasons import invalid
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.selectors.facilities import visible_facilities
from practice.work.unit_of_work import Outcome, UnitOfWork


def client_register(uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any]) -> Outcome:
    """Register a client whose data key was made by ``new_client_stream``.

    Without facilities they are known where the member of staff works; without a zone they
    have that of the first facility. Raises Rejected 400 for details that cannot be.
    """
    places = _places(uow, command.get("facility_ids"))
    given = {
        **command,
        "zone": command.get("zone") or places[0].zone,
        "facility_ids": tuple(place.id for place in places),
    }
    whole = msgspec.convert(given, ClientDetails)
    uow.create(client_id)
    return uow.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.register_client(states[IDENTITY], whole, ctx),
    )


def client_change(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Change some of a client's details. Facilities that the caller does not see stay."""
    uow.lock(client_id)
    client = client_get(uow.actor, client_id)
    changes = dict(command)
    if "facility_ids" in changes:
        seen = set(visible_facilities(uow.actor).values_list("pk", flat=True))
        kept = [UUID(one) for one in client.facility_ids if UUID(one) not in seen]
        new = [place.id for place in _places(uow, changes["facility_ids"])]
        changes["facility_ids"] = tuple(sorted({*kept, *new}))
    change = ChangeDetails(changes=changes)
    return uow.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.change_details(states[IDENTITY], change, ctx),
        if_match=if_match,
    )


def _places(uow: UnitOfWork, wanted: Iterable[UUID] | None) -> list[Facility]:
    """The facilities named, or those of the caller. Raises Rejected 400 for one not seen."""
    mine = visible_facilities(uow.actor).filter(is_active=True).order_by("id")
    if wanted is None:
        places = list(mine)
    else:
        asked = set(wanted)
        places = list(mine.filter(pk__in=asked))
        if len(places) != len(asked):
            raise invalid("facility_ids", "One of these is no facility that you see.")
    if not places:
        raise invalid("facility_ids", "Name at least one facility where the client is seen.")
    return places
