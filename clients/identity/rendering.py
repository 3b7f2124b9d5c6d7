"""A client as shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.identity.selectors import client_details_row, namesakes
from clients.identity.serializers import ClientDetailOutputSerializer
from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.http.representations import Representation, with_warnings
from practice.work.unit_of_work import Outcome, UnitOfWork


def serialize_client(_role: Role, client_id: UUID, version: int) -> Any:
    """A client with the version of the whole record."""
    row = client_details_row(client_id)
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return ClientDetailOutputSerializer({**fields, "version": version}).data


TWICE = Reason(
    code="registered_twice",
    text="Another client of this name is on record, and no birth date tells them apart. Search"
    " for them: if it is the same person, work in the older record and book nothing in this"
    " one. What is withdrawn or reported in one of them does not count in the other.",
    source="practice policy",
)


def render_registered_client(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A new client, with a warning where they seem to have a record already.

    In two records of one person a withdrawal of consent in one does not close the other.
    """
    row = client_details_row(outcome.client_id)
    data = serialize_client(uow.actor.role, outcome.client_id, outcome.version)
    warnings = [TWICE] if namesakes(uow.actor, row).exists() else []
    return with_warnings(data, warnings, outcome.version)
