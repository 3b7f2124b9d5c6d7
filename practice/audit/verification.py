"""Verifies the chain of every stream, without opening a single payload."""

from __future__ import annotations

import hmac
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import groupby
from uuid import UUID

from django.db import transaction

from practice.eventstore.envelope import Envelope, chain_key, mac_of
from practice.eventstore.models import StreamHead
from practice.eventstore.store import every_row


@dataclass
class VerificationResult:
    """How much was checked and every fault found, as sentences."""

    streams: int = 0
    events: int = 0
    faults: list[str] = field(default_factory=list)


def verify_stream(
    stream: UUID, rows: Iterable[Envelope], head: StreamHead | None
) -> tuple[int, list[str]]:
    """How many rows a stream has, and its faults: a changed byte, a missing, swapped, doubled
    or added row, a tail cut off behind the head."""
    faults: list[str] = []
    key_id, key = chain_key()
    count, previous, expected = 0, b"", 0
    for row in rows:
        count, expected = count + 1, expected + 1
        if row.version != expected:
            faults.append(f"{stream}: version {expected} expected, {row.version} found")
            expected = row.version
        if row.mac_key_id != key_id:
            faults.append(f"{stream}@{row.version}: its MAC was made with another chain key")
        elif not hmac.compare_digest(mac_of(row, previous, key), row.mac):
            faults.append(f"{stream}@{row.version}: the row is not as it was written")
        previous = row.mac
    if head is None:
        faults.append(f"{stream}: events without a head")
    elif head.version != expected or bytes(head.mac) != previous:
        faults.append(f"{stream}: the head stands at {head.version}, the last event is {expected}")
    return count, faults


def verify_log() -> VerificationResult:
    """Check every stream against its chain and its head.

    A stream that somebody wrote to meanwhile looks wrong; a fault counts only if it is
    still there under the lock of the stream's head.
    """
    found = VerificationResult()
    heads = {head.stream: head for head in StreamHead.objects.all()}
    suspects: list[UUID] = []
    for stream, rows in groupby(every_row(), key=lambda row: row.stream):
        found.streams += 1
        count, faults = verify_stream(stream, rows, heads.pop(stream, None))
        found.events += count
        if faults:
            suspects.append(stream)
    suspects += [stream for stream, head in heads.items() if head.version]
    for stream in suspects:
        found.faults += verify_locked(stream)
    return found


def verify_locked(stream: UUID) -> list[str]:
    """The faults of one stream while nobody can write to it."""
    with transaction.atomic():
        head = StreamHead.objects.select_for_update().filter(stream=stream).first()
        return verify_stream(stream, every_row(stream), head)[1]
