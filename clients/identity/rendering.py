"""A client as shown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from clients.identity.booked_sessions import sessions_after
from clients.identity.contact_serializers import (
    DoubleWarningSerializer,
    PossibleDoubleOutputSerializer,
)
from clients.identity.domain.contact import DoubleSign
from clients.identity.domain.doubles import signs_text
from clients.identity.models import Client
from clients.identity.searching import PossibleDouble
from clients.identity.selectors import client_details_row, clients_by_id
from clients.identity.serializers import ClientDetailOutputSerializer
from practice.core.terms import Role
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork


def serialize_client(role: Role, client_id: UUID, version: int) -> Any:
    """A client with the version of the whole record; to billing without reasons of health."""
    row = client_details_row(client_id)
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    if role is Role.BILLING:
        fields["unsuitable_times"] = [{**one, "reason": ""} for one in row.unsuitable_times]
    return ClientDetailOutputSerializer({**fields, "version": version}).data


_ASK = (
    " If it is the same person, work in the older record and book nothing in this one: what is"
    " withdrawn or reported in one of them does not count in the other. If not, say so with"
    " told_apart_from."
)


def _warning(other: Client, signs: Iterable[str]) -> dict[str, Any]:
    known = [DoubleSign(sign) for sign in signs]
    born = f"born {other.birth_date}" if other.birth_date else "birth date unknown"
    return {
        "code": "registered_twice" if DoubleSign.SAME_NAME in known else "possible_double",
        "text": f"{other.name}, {born}, is on record with {signs_text(known)}.{_ASK}",
        "source": "practice policy",
        **_double(other, known),
    }


def _double(other: Client, signs: Iterable[DoubleSign]) -> dict[str, Any]:
    return {
        "client_id": other.pk,
        "name": other.name,
        "birth_date": other.birth_date,
        "signs": list(signs),
    }


def serialize_possible_doubles(found: Iterable[PossibleDouble]) -> Any:
    """Those on record who may be the same person, before one is registered."""
    rows = [_double(one.client, one.signs) for one in found]
    return PossibleDoubleOutputSerializer(rows, many=True).data


def render_changed_client(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A client's details as they stand, with the sessions to come."""
    data = dict(serialize_client(uow.actor.role, outcome.client_id, outcome.version))
    data["sessions"] = sessions_after(uow, outcome)
    return Representation(data, outcome.version)


def render_registered_client(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A new client, with a warning for each on record who may be the same person.

    In two records of one person a withdrawal of consent in one does not close the other.
    """
    data = serialize_client(uow.actor.role, outcome.client_id, outcome.version)
    shown = data["doubles_shown"]
    others = clients_by_id([one["client_id"] for one in shown])
    warnings = [_warning(others[UUID(one["client_id"])], one["signs"]) for one in shown]
    told = {"warnings": DoubleWarningSerializer(warnings, many=True).data}
    return Representation({**data, **told}, outcome.version)
