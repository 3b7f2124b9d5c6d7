"""Reads that fold events: permissions, history and views of an earlier day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from practice.domain.decisions import Slice, States
from practice.domain.erasure import CLOSING
from practice.domain.events import Recorded
from practice.domain.reasons import existing
from practice.eventlog import store
from practice.eventlog.folding import Fold
from practice.eventlog.models import StreamHead


def recorded(
    client_id: UUID,
    *,
    types: Sequence[str] | None = None,
    as_known_at: datetime | None = None,
    as_happened_at: datetime | None = None,
) -> list[Recorded]:
    """The events of a client: in order of recording, or, for a view of what had happened
    by an instant, in order of happening with ties in recorded order.

    ``as_known_at`` leaves out what was recorded later; ``as_happened_at`` what happened
    later. Raises Rejected (404) for a client that does not exist.
    """
    head = existing(StreamHead.objects.filter(stream=client_id).first(), "client")
    events = store.load(client_id, types=types, start=head.starts_at_version)
    if as_known_at is not None:
        events = [one for one in events if one.recorded_at <= as_known_at]
    if as_happened_at is not None:
        events = [one for one in events if one.effective_at <= as_happened_at]
        events.sort(key=lambda one: (one.effective_at, one.version))
    return events


def load(
    client_id: UUID,
    slices: Sequence[Slice[Any, Any]],
    *,
    as_known_at: datetime | None = None,
    as_happened_at: datetime | None = None,
) -> States:
    """The folded state of some slices, now or as of an instant in either time."""
    fold = Fold(
        lambda types: recorded(
            client_id, types=types, as_known_at=as_known_at, as_happened_at=as_happened_at
        )
    )
    return fold.require(slices)


def erased_at(client_id: UUID) -> datetime | None:
    """When a record was closed for erasure; None for one that stands or never was."""
    head = StreamHead.objects.filter(stream=client_id, starts_at_version__gt=1).first()
    if head is None:
        return None
    return load(client_id, (CLOSING,))[CLOSING].agreed_at


def version_of(client_id: UUID) -> int:
    """The version of a client's stream. Raises Rejected (404) for an unknown client."""
    found = existing(
        StreamHead.objects.filter(stream=client_id).values_list("version", flat=True).first(),
        "client",
    )
    return int(found)
