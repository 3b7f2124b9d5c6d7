"""Who read a client's record and who was refused. No names, no query strings."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from practice.accesslog.models import AccessEntry
from practice.clock import clock


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
