"""What should be known before a record is erased or someone leaves: warnings, no refusals."""

from __future__ import annotations

from uuid import UUID

from practice.domain.reasons import Audience, Reason
from practice.due.models import DueItem
from practice.services import hooks

POLICY = "practice policy"


def what_stands_open(client_id: UUID) -> list[Reason]:
    """The open business of a record as every floor knows it, and its work that falls due."""
    waiting = DueItem.objects.filter(subject=client_id, status=DueItem.Status.WAITING)
    count = waiting.exclude(kind="destroy_key").count()
    due = Reason(
        code="erasure.due_work",
        text=f"Due work waits in this record ({count}): it will not be done.",
        source=POLICY,
        audience=Audience.EVERYONE,
    )
    return [*hooks.open_business(client_id), *([due] if count else [])]
