"""Registering clients and changing their details."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

import msgspec

from clients.identity.domain import decisions as registering
from clients.identity.domain.commands import ChangeDetails
from clients.identity.domain.contact import ShownDouble, with_main_phone
from clients.identity.domain.doubles import PersonOnRecord
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged, ClientRegistered
from clients.identity.domain.state import IDENTITY
from clients.identity.hooks import DETAILS_CHANGED, REGISTERED
from clients.identity.places import named_places, own_places, with_unseen
from clients.identity.searching import possible_doubles
from clients.identity.selectors import client_get
from practice.core.reasons import not_found
from practice.people_and_places.selectors.facilities import visible_facilities
from practice.work.unit_of_work import Outcome, UnitOfWork
from practice.work.visibility import invisible


def client_register(uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any]) -> Outcome:
    """Register a client whose data key was made by ``new_client_stream``.

    Without facilities they are known where the member of staff works; without a zone they
    have that of the first facility. Who on record may be the same person is kept with it.
    Raises Rejected 400 for details that cannot be.
    """
    wanted = command.get("facility_ids")
    places = own_places(uow.actor) if wanted is None else named_places(uow.actor, wanted)
    given = {
        **with_main_phone((), command),
        "zone": command.get("zone") or places[0].zone,
        "facility_ids": tuple(place.id for place in places),
    }
    whole = msgspec.convert(given, ClientDetails)
    _check_told_apart(uow, whole.told_apart_from)
    person = PersonOnRecord(
        given_name=whole.given_name,
        family_name=whole.family_name,
        birth_date=whole.birth_date,
        phones=tuple(one.number for one in whole.known_phones()),
    )
    found = possible_doubles(uow.actor, person, whole.told_apart_from)
    doubles = tuple(ShownDouble(client_id=one.client.pk, signs=one.signs) for one in found)
    uow.create(client_id)
    uow.tell_of(one.client_id for one in doubles)
    outcome = uow.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.register_client(states[IDENTITY], whole, ctx, doubles),
    )
    registered = outcome.first(ClientRegistered)
    for check in REGISTERED.answers:
        check(client_id, registered)
    return outcome


def client_change(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Change some of a client's details. Facilities that the caller does not see stay; entries
    with an id of their own are taken away only by who has read the record (``if_match``)."""
    uow.lock(client_id)
    client = client_get(uow.actor, client_id)
    changes = dict(command)
    _check_told_apart(uow, changes.get("told_apart_from", ()))
    if "facility_ids" in changes:
        seen = set(visible_facilities(uow.actor).values_list("pk", flat=True))
        before = [UUID(one) for one in client.facility_ids]
        new = [place.id for place in named_places(uow.actor, changes["facility_ids"])]
        changes["facility_ids"] = with_unseen(before, new, seen)
    change = ChangeDetails(changes=changes, was_read=if_match is not None)
    outcome = uow.execute(
        client_id,
        (IDENTITY,),
        lambda states, ctx: registering.change_details(states[IDENTITY], change, ctx),
        if_match=if_match,
    )
    if (changed := outcome.first(ClientDetailsChanged)) is not None:
        for check in DETAILS_CHANGED.answers:
            check(client_id, changed)
    return outcome


def _check_told_apart(uow: UnitOfWork, others: Iterable[UUID]) -> None:
    """Raises Rejected 404 for a client whom the caller does not see."""
    if invisible(uow.actor, others):
        raise not_found("client in told_apart_from")
