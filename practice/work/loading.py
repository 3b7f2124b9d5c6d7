"""Reads that fold events: permissions, history and views of an earlier day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Slice, States
from practice.core.events import RecordedEvent
from practice.core.reasons import existing, invalid
from practice.eventstore import store
from practice.eventstore.models import StoredEvent, StreamHead
from practice.work.keyset import after
from practice.work.shared_states import SharedStates
from practice.work.state_loader import StateLoader


def load_events(
    client_id: UUID,
    *,
    types: Sequence[str] | None = None,
    known_at: datetime | None = None,
    occurred_until: datetime | None = None,
) -> list[RecordedEvent]:
    """The events of a client: in order of recording, or, for a view of what had happened
    by an instant, in order of happening with ties in recorded order.

    ``known_at`` leaves out what was recorded later, ``occurred_until`` what happened
    later. Raises Rejected (404) for a client that does not exist.
    """
    head = existing(StreamHead.objects.filter(stream=client_id).first(), "client")
    events = store.load(client_id, types=types, start=head.starts_at_version)
    if known_at is not None:
        events = [one for one in events if one.recorded_at <= known_at]
    if occurred_until is not None:
        events = [one for one in events if one.occurred_at <= occurred_until]
        events.sort(key=lambda one: one.order)
    return events


def load_states(
    client_id: UUID,
    slices: Sequence[Slice[Any, Any]],
    *,
    known_at: datetime | None = None,
    occurred_until: datetime | None = None,
) -> States:
    """The folded state of some slices, now or as of an instant in either time."""
    if known_at is None and occurred_until is None:
        return state_loader(client_id).require(slices)
    loader = StateLoader(
        lambda types: load_events(
            client_id, types=types, known_at=known_at, occurred_until=occurred_until
        )
    )
    return loader.require(slices)


def state_loader(client_id: UUID) -> SharedStates:
    """For a read that asks for slices as of now one after the other."""
    return SharedStates(client_id)


def stream_version(client_id: UUID) -> int:
    """The version of a client's stream. Raises Rejected (404) for an unknown client."""
    found = existing(
        StreamHead.objects.filter(stream=client_id).values_list("version", flat=True).first(),
        "client",
    )
    return int(found)


class EventPage(NamedTuple):
    """Some events of a client in order, how many there are in all, whether more follow."""

    events: list[RecordedEvent]
    total: int
    more: bool


def stored_events(client_id: UUID) -> QuerySet[StoredEvent]:
    """The rows of a client's log that are folded, unopened. Raises Rejected 404 for an unknown
    client."""
    head = existing(StreamHead.objects.filter(stream=client_id).first(), "client")
    return StoredEvent.objects.filter(stream=client_id, version__gte=head.starts_at_version)


def load_versions(client_id: UUID, versions: Sequence[int]) -> list[RecordedEvent]:
    """Some events of a client's log, opened, in the order asked for."""
    return store.load_versions(client_id, versions)


def load_page(
    client_id: UUID,
    *,
    after_version: int | None,
    size: int,
    known_at: datetime | None = None,
    occurred_until: datetime | None = None,
) -> EventPage:
    """One page of what ``load_events`` gives, without opening the rest.

    ``after_version``: the last event of the page before. Raises Rejected: 404 for an unknown
    client, 400 for an event that is not in this list.
    """
    head = existing(StreamHead.objects.filter(stream=client_id).first(), "client")
    rows = StoredEvent.objects.filter(stream=client_id, version__gte=head.starts_at_version)
    order: tuple[str, ...] = ("version",)
    if known_at is not None:
        rows = rows.filter(recorded_at__lte=known_at)
    if occurred_until is not None:
        rows = rows.filter(occurred_at__lte=occurred_until)
        order = ("occurred_at", "recorded_at", "version")
    # The versions of a stream have no gap: without a filter they need not be counted.
    whole = known_at is None and occurred_until is None
    total = head.version - head.starts_at_version + 1 if whole else rows.count()
    if after_version is not None:
        last = rows.filter(version=after_version).values_list(*order).first()
        if last is None:
            raise invalid("after_version", "There is no such event in this list.")
        rows = rows.filter(after(order, last))
    page = list(rows.order_by(*order).values_list("version", flat=True)[: size + 1])
    return EventPage(store.load_versions(client_id, page[:size]), total, len(page) > size)
