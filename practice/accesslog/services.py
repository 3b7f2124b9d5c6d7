"""Who read a client's record and who was refused. No names but sealed ones, no query strings."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.keys.keystore import PRACTICE_SUBJECT, UnreadableRecordError, keystore


def log_reads(*, staff_id: UUID, client_ids: Iterable[UUID], what: str, request_id: str) -> None:
    """One read of each of some clients' records, as a list shows them; one statement."""
    now = clock.now()
    AccessEntry.objects.bulk_create(
        AccessEntry(
            occurred_at=now,
            staff_id=staff_id,
            client_id=client_id,
            what=what[:120],
            outcome=AccessEntry.Outcome.READ,
            request_id=request_id,
        )
        for client_id in sorted(set(client_ids))
    )


def log_search(
    *, staff_id: UUID, client_ids: Iterable[UUID], what: str, asked: str, request_id: str
) -> None:
    """A search: a read of each client that was found, each with what was asked for, sealed with
    that client's key so that it goes with an erasure; where nobody was found one entry, sealed
    with the practice's own."""
    now, found = clock.now(), sorted(set(client_ids))
    keystore.fetch(found)
    told: list[UUID | None] = [*found] or [None]
    AccessEntry.objects.bulk_create(
        AccessEntry(
            occurred_at=now,
            staff_id=staff_id,
            client_id=client_id,
            what=what[:120],
            outcome=AccessEntry.Outcome.READ,
            request_id=request_id,
            asked=keystore.encrypt(client_id or PRACTICE_SUBJECT, asked.encode(), _place(staff_id)),
        )
        for client_id in told
    )


def asked_for(entry: AccessEntry) -> str | None:
    """What a search asked for; None for any other entry, and after an erasure."""
    if entry.asked is None or entry.staff_id is None:
        return None
    try:
        subject = entry.client_id or PRACTICE_SUBJECT
        return keystore.decrypt(subject, bytes(entry.asked), _place(entry.staff_id)).decode()
    except UnreadableRecordError:
        return None


def _place(staff_id: UUID) -> bytes:
    return b"search by " + staff_id.bytes


def log_read(*, staff_id: UUID, client_id: UUID, what: str, request_id: str) -> None:
    """One read of a client's record."""
    AccessEntry.objects.create(
        occurred_at=clock.now(),
        staff_id=staff_id,
        client_id=client_id,
        what=what[:120],
        outcome=AccessEntry.Outcome.READ,
        request_id=request_id,
    )


def log_refusal(
    actor_id: UUID | None,
    method: str,
    path: str,
    code: str,
    request_id: str,
    client_id: UUID | None = None,
) -> None:
    """One refused attempt, written outside the transaction that was rolled back."""
    AccessEntry.objects.create(
        occurred_at=clock.now(),
        staff_id=actor_id,
        client_id=client_id,
        what=f"{method} {path}"[:120],
        outcome=AccessEntry.Outcome.REFUSED,
        code=code[:80],
        request_id=request_id,
    )
