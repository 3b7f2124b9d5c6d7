"""Verifies the chain of every stream and what is sealed beside it; payloads stay closed."""

from __future__ import annotations

import hmac
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import attrgetter
from pathlib import Path
from uuid import UUID

from django.db import transaction

from practice.audit import side_checks
from practice.audit.key_faults import KeyUse, key_faults
from practice.eventstore.digest import digest_folder, missing_marks, read_digests
from practice.eventstore.envelope import ChainedRow, chain_key, mac_of, microseconds
from practice.eventstore.models import StreamHead
from practice.eventstore.store import every_row, start_by_keys

StreamMarks = Mapping[int, tuple[str, bytes]]


@dataclass
class VerificationResult:
    """How much was checked, every fault found and what else should be known, as sentences."""

    streams: int = 0
    events: int = 0
    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@dataclass
class CheckedStream:
    """What the pass over one stream found."""

    stream: UUID
    count: int = 0
    faults: list[str] = field(default_factory=list)
    keys: dict[UUID, int] = field(default_factory=dict)
    """Each key that its events lie under, and the first version under it."""
    recorded_at: int | None = None
    """When the last one was recorded, in microseconds since 1970."""

    @property
    def starts_at_version(self) -> int:
        """Where its folding begins."""
        return start_by_keys(self.keys.values())


def verify_stream(
    stream: UUID, rows: Iterable[ChainedRow], head: StreamHead | None, marks: StreamMarks
) -> CheckedStream:
    """The faults of a stream: a changed byte, a missing, swapped, doubled or added row, a tail cut
    off behind the head or behind a digest, a head that says something else than the log."""
    found = CheckedStream(stream)
    key_id, key = chain_key()
    previous, expected, waiting = b"", 0, dict(marks)
    keys: dict[bytes, int] = {}
    for row in rows:
        found.count += 1
        expected += 1
        if row.version != expected:
            found.faults.append(f"{stream}: version {expected} expected, {row.version} found")
            expected = row.version
        if row.mac_key_id != key_id:
            found.faults.append(f"{stream}@{row.version}: its MAC was made with another chain key")
        elif not hmac.compare_digest(mac_of(row, previous, key), row.mac):
            found.faults.append(f"{stream}@{row.version}: the row is not as it was written")
        if row.version in waiting:
            name, mac = waiting.pop(row.version)
            if mac != row.mac:
                found.faults.append(f"{stream}@{row.version}: differs from the digest of {name}")
        keys.setdefault(row.key_id, row.version)
        previous, found.recorded_at = row.mac, row.recorded_at
    found.keys = {UUID(bytes=key_id): first for key_id, first in keys.items()}
    found.faults += missing_marks(stream, waiting)
    found.faults += _head_faults(found, head, expected, previous)
    return found


def _head_faults(
    found: CheckedStream, head: StreamHead | None, version: int, mac: bytes
) -> list[str]:
    """The head is derived from the log in every column: what differs was changed by hand."""
    if head is None:
        return [f"{found.stream}: events without a head"] if found.count else []
    faults = []
    if head.version != version or bytes(head.mac) != mac:
        faults.append(f"{found.stream}: the head stands at {head.version}, the last is {version}")
    if head.starts_at_version != found.starts_at_version:
        faults.append(
            f"{found.stream}: the head lets it start at {head.starts_at_version}, by the log it"
            f" is {found.starts_at_version}"
        )
    at = None if head.recorded_at is None else microseconds(head.recorded_at)
    if at != found.recorded_at:
        faults.append(f"{found.stream}: the head has another time than the last event")
    return faults


def verify_log(digests: Sequence[Path] | None = None) -> VerificationResult:
    """Check every stream against its chain, its head and the digests (without ``digests`` all in
    their folder), then the keys and what is sealed beside the log.

    A stream that somebody wrote to meanwhile looks wrong; a fault counts only if it is
    still there under the lock of the stream's head.
    """
    paths = sorted(digest_folder().glob("*.json")) if digests is None else list(digests)
    kept = read_digests(paths)
    found = VerificationResult(faults=list(kept.faults))
    heads = {head.stream: head for head in StreamHead.objects.all()}
    marks = dict(kept.marks)
    suspects: list[UUID] = []
    uses: list[KeyUse] = []
    for stream_bytes, rows in groupby(every_row(), key=attrgetter("stream")):
        stream = UUID(bytes=stream_bytes)
        found.streams += 1
        checked = verify_stream(stream, rows, heads.pop(stream, None), marks.pop(stream, {}))
        found.events += checked.count
        uses.append(KeyUse(stream, tuple(checked.keys), checked.starts_at_version))
        if checked.faults:
            suspects.append(stream)
    gone = {stream for stream, head in heads.items() if head.version} | marks.keys()
    for stream in (*suspects, *sorted(gone)):
        found.faults += verify_locked(stream, kept.marks.get(stream, {}))
    found.faults += _guarded("data keys", lambda: key_faults(uses))
    for name, check in side_checks.CHECKS.items():
        found.faults += _guarded(name, lambda check=check: check(kept.parts))  # type: ignore[misc]
    if not paths:
        found.notes.append(
            f"No digest lies in {digest_folder()}: a stream that was deleted whole does not show."
        )
    return found


def _guarded(name: str, check: Callable[[], Iterable[str]]) -> list[str]:
    """The faults of one check; one that cannot be carried out is a fault and stops no other.

    What was just being written may look wrong: a fault counts only if a second look finds it.
    """
    try:
        first = list(check())
        second = set(check()) if first else set()
    except Exception as error:  # noqa: BLE001  what damage makes of a row is not foreseen
        return [f"{name}: the check itself failed: {type(error).__name__}: {error}"]
    return [fault for fault in first if fault in second]


def verify_locked(stream: UUID, marks: StreamMarks) -> list[str]:
    """The faults of one stream while nobody can write to it."""
    with transaction.atomic():
        head = StreamHead.objects.select_for_update().filter(stream=stream).first()
        return verify_stream(stream, every_row(stream), head, marks).faults
