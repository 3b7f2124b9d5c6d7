"""A client as shown."""

from __future__ import annotations

from typing import Any

from clients.identity.models import Client


def serialize_client(row: Client, version: int) -> dict[str, Any]:
    """A client with the version of her whole record."""
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return {**fields, "version": version}
