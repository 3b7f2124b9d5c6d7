"""A client as shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.identity.selectors import client_details_row
from clients.identity.serializers import ClientDetailOutputSerializer
from practice.core.terms import Role


def serialize_client(_role: Role, client_id: UUID, version: int) -> Any:
    """A client with the version of the whole record."""
    row = client_details_row(client_id)
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return ClientDetailOutputSerializer({**fields, "version": version}).data
