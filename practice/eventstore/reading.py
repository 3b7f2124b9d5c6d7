"""Reading a stream up to a version that nobody holds: rows may come, or go, meanwhile."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from contextlib import closing
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Q

from practice.eventstore.envelope import LOADED, MAC, TYPE, SizedEvents
from practice.eventstore.models import StoredEvent
from practice.eventstore.store import unwanted_types


def load_until(
    stream: UUID, version: int, *, types: Sequence[str], start: int
) -> Generator[tuple[SizedEvents, bytes]]:
    """What ``load_sized`` gives of the versions up to one, a long stream in parts, to be folded as
    they come; close it. With each part the mac of its last row: with the last part that of the
    version itself, of whatever type, for no other row has it. Empty where there is no row."""
    unwanted = unwanted_types(types)
    with closing(_rows_until(stream, version, unwanted, start)) as parts:
        for rows in parts:
            mac = bytes(rows[-1][MAC]) if rows else b""
            # Only the row of the version itself, the last, may be of a type nobody asked for.
            wanted = rows[:-1] if rows and rows[-1][TYPE] in unwanted else rows
            yield SizedEvents.of(stream, wanted), mac


def _rows_until(
    stream: UUID, version: int, unwanted: Sequence[str], start: int
) -> Generator[list[tuple[Any, ...]]]:
    """The rows in parts."""
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        yield from postgresql.load_until(stream, unwanted, start, version)
        return
    found = StoredEvent.objects.filter(stream=stream, version__range=(start, version))
    found = found.filter(Q(version=version) | ~Q(type__in=unwanted)).order_by("version")
    yield list(found.values_list(*LOADED, "mac"))
