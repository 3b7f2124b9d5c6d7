"""Which clients a member of staff sees: those known at a facility that they see."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet

from clients.identity.domain.entries import KINDS, with_content_ids
from clients.identity.models import Client, ClientFacility
from practice.audit.selectors import erased_at
from practice.core.decisions import Actor
from practice.core.reasons import Rejected, not_found
from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.selectors.facilities import visible_facilities
from practice.work.kept_queries import KeptQuery

M = TypeVar("M", bound=Model)


def no_clients() -> QuerySet[Client]:
    """None of them: what a description of the API is made from."""
    return Client.objects.none()


def visible_clients(actor: Actor) -> QuerySet[Any] | None:
    """Who sees whom: the ids of the clients that an actor may see, as a subquery; None means
    all, those of erased records too. Whatever shows or changes a client's record asks here."""
    if actor.sees_all_facilities:
        return None
    facilities = visible_facilities(actor).values("pk")
    return ClientFacility.objects.filter(facility_id__in=facilities).values("client_id")


def visible_among(actor: Actor, client_ids: frozenset[UUID]) -> frozenset[UUID]:
    """Those of some clients whom the actor may see."""
    mine = visible_clients(actor)
    if mine is None:
        return client_ids
    return frozenset(mine.filter(client_id__in=client_ids).values_list("client_id", flat=True))


def client_list(actor: Actor) -> QuerySet[Client]:
    """The clients that this member of staff may see."""
    mine = visible_clients(actor)
    return Client.objects.all() if mine is None else Client.objects.filter(id__in=mine)


def of_visible_clients(actor: Actor, rows: QuerySet[M]) -> QuerySet[M]:
    """The rows of any read table that belong to a client whom the actor may see."""
    mine = visible_clients(actor)
    return rows if mine is None else rows.filter(client_id__in=mine)


def client_get(actor: Actor, client_id: UUID) -> Client:
    """One of them. Raises Rejected 404 for any other; to the owner 410 for an erased one."""
    found = client_list(actor).filter(pk=client_id).first()
    if found is None:
        raise _unseen(actor, client_id)
    return found


def require_visible_client(actor: Actor, client_id: UUID) -> None:
    """Raises what ``client_get`` raises; nothing of the client is read."""
    who = {} if actor.sees_all_facilities else {"id": actor.id}
    if who and actor.practitioner_id is not None:
        who["practitioner_id"] = actor.practitioner_id
    if not _VISIBLE.rows(client_id=client_id, **who):
        raise _unseen(actor, client_id)


def _one_visible(client_id: UUID, **who: UUID) -> QuerySet[Any, Any]:
    """The row of a client, asked as ``who``; as one who sees all facilities without."""
    actor = Actor(role=Role.PRACTITIONER, **who) if who else Actor(role=Role.OWNER, id=client_id)
    return client_list(actor).filter(pk=client_id).values_list("pk")


_VISIBLE = KeptQuery(_one_visible)


def _unseen(actor: Actor, client_id: UUID) -> Rejected:
    erased = erased_at(client_id) if actor.role is Role.OWNER else None
    if erased is None:
        return not_found("client")
    return Rejected(
        "record_erased",
        f"This record was erased on {erased.date()}. GET /clients/{client_id}/erasure says"
        " who ordered it, who agreed and when the key was destroyed.",
        status=410,
    )


def client_details_row(client_id: UUID) -> Client:
    """The details of a client whom the caller was found to see. Entries of rows from before
    entries had ids get those that their events are read with."""
    row = Client.objects.get(pk=client_id)
    for field in KINDS:
        setattr(row, field, with_content_ids(getattr(row, field)))
    return row


def clients_by_id(client_ids: Sequence[UUID | str]) -> dict[UUID, Client]:
    """Clients whom the caller was found to see; nothing is asked where there are none."""
    return Client.objects.in_bulk(client_ids) if client_ids else {}


def client_jurisdictions(client_id: UUID) -> list[str]:
    """The jurisdictions (ISO 3166-2) of the facilities where a client is known."""
    places = ClientFacility.objects.filter(client_id=client_id).values("facility_id")
    rows = Facility.objects.filter(pk__in=places).values_list("jurisdiction", flat=True)
    return sorted(set(rows))
