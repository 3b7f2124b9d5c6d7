"""Questions about due work, for the health check and the owner's list."""

from __future__ import annotations

from datetime import datetime

from django.db.models import QuerySet

from practice.due.models import DueItem


def oldest_waiting(now: datetime) -> datetime | None:
    """When the oldest row that should have been done by now fell due, or None."""
    return (
        DueItem.objects.filter(status=DueItem.Status.WAITING, due_at__lte=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )


def given_up() -> QuerySet[DueItem]:
    """Rows that failed too often and wait for a person."""
    return DueItem.objects.filter(status=DueItem.Status.GIVEN_UP).order_by("due_at")
