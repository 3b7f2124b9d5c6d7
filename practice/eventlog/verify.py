"""Verifies the chain of every stream, without opening a single payload."""

from __future__ import annotations

import hmac
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby
from uuid import UUID

from practice.eventlog.envelope import Envelope, chain_key, mac_of
from practice.eventlog.models import StoredEvent, StreamHead
from practice.eventlog.store import COLUMNS, as_envelope

CHUNK = 2_000


@dataclass
class Verified:
    """How much was checked and every fault found, as sentences."""

    streams: int = 0
    events: int = 0
    faults: list[str] = field(default_factory=list)


def stored_rows() -> Iterator[Envelope]:
    """Every stored row, stream by stream in order, in constant memory."""
    rows = StoredEvent.objects.order_by("stream", "version").values_list(*COLUMNS)
    for row in rows.iterator(chunk_size=CHUNK):
        yield as_envelope(row)


def verify_stream(stream: UUID, rows: Iterable[Envelope], head: StreamHead | None) -> list[str]:
    """The faults of one stream: a changed byte, a missing, swapped, doubled or added row, a
    tail cut off behind the head."""
    faults: list[str] = []
    key_id, key = chain_key()
    previous, expected = b"", 0
    for row in rows:
        expected += 1
        if row.version != expected:
            faults.append(f"{stream}: version {expected} expected, {row.version} found")
            expected = row.version
        if row.mac_key_id != key_id:
            faults.append(f"{stream}@{row.version}: sealed under another chain key")
        elif not hmac.compare_digest(mac_of(row, previous, key), row.mac):
            faults.append(f"{stream}@{row.version}: the row is not as it was written")
        previous = row.mac
    if head is None:
        faults.append(f"{stream}: events without a head")
    elif head.version != expected or bytes(head.mac) != previous:
        faults.append(f"{stream}: the head stands at {head.version}, the last event is {expected}")
    return faults


def verify_log() -> Verified:
    """Check every stream against its chain and its head."""
    found = Verified()
    heads = {head.stream: head for head in StreamHead.objects.all()}
    for stream, group in groupby(stored_rows(), key=lambda row: row.stream):
        rows = list(group)
        found.streams += 1
        found.events += len(rows)
        found.faults += verify_stream(stream, rows, heads.pop(stream, None))
    found.faults += [
        f"{stream}: the head stands at {head.version}, no event is there"
        for stream, head in heads.items()
        if head.version
    ]
    return found
