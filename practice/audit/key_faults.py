"""The data keys against the log: lost, damaged, another's, or there again after an erasure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple
from uuid import UUID

from practice.audit.domain.jobs import KEY_DESTRUCTION_JOB
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.canary import keys_fault
from practice.keys.keystore import PRACTICE_SUBJECT, UnreadableRecordError, unwrap
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

DESTROYED = "record.key_destroyed"
"""The event that says that a record's key is gone; its name stands outside the payload."""


class KeyUse(NamedTuple):
    """Which keys the events of a stream lie under, in order, and where its folding starts."""

    stream: UUID
    keys: tuple[UUID, ...]
    starts_at_version: int


def key_faults(uses: Iterable[KeyUse]) -> Iterator[str]:
    """Every fault of the data keys, as sentences."""
    if fault := keys_fault():
        yield fault
    rows = {row.id: row for row in DataKey.objects.using(keys_alias()).all()}
    for row in rows.values():
        if row.destroyed_at is None:
            try:
                unwrap(row)
            except UnreadableRecordError as error:
                yield str(error)
        elif bytes(row.wrapped):
            yield f"the data key {row.id} was destroyed and its wrapping is there again"
    gone = set(StoredEvent.objects.filter(type=DESTROYED).values_list("stream", flat=True))
    waiting = set(
        ScheduledJob.objects.filter(
            kind=KEY_DESTRUCTION_JOB, status=ScheduledJob.Status.WAITING
        ).values_list("subject", flat=True)
    )
    for use in uses:
        yield from _of_stream(use, rows, destroyed=use.stream in gone, waits=use.stream in waiting)
    known = set(StreamHead.objects.values_list("stream", flat=True)) | {PRACTICE_SUBJECT}
    for row in rows.values():
        if row.destroyed_at is not None and row.subject not in known:
            yield f"{row.subject}: its data key was destroyed and its stream is gone"


def _of_stream(
    use: KeyUse, rows: dict[UUID, DataKey], *, destroyed: bool, waits: bool
) -> Iterator[str]:
    closed = use.starts_at_version > 1
    for number, key_id in enumerate(use.keys):
        row = rows.get(key_id)
        owner = PRACTICE_SUBJECT if number and closed else use.stream
        if row is None:
            yield f"{use.stream}: the data key {key_id} is lost"
        elif row.subject != owner:
            yield f"{use.stream}: the data key {key_id} stands under {row.subject}"
        elif row.destroyed_at is not None and not (closed and number == 0):
            yield f"{use.stream}: the data key {key_id} was destroyed and the record stands"
        elif row.destroyed_at is None and closed and number == 0 and (destroyed or not waits):
            yield f"{use.stream}: was erased, and its data key {key_id} lives"
