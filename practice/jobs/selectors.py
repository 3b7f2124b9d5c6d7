"""Questions about jobs, for the health check and the owner's list."""

from __future__ import annotations

from datetime import datetime

from django.db.models import QuerySet

from practice.jobs.models import ScheduledJob


def oldest_overdue(now: datetime) -> datetime | None:
    """When the oldest row that should have been done by now fell due, or None."""
    return (
        ScheduledJob.objects.filter(status=ScheduledJob.Status.WAITING, due_at__lte=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )


def abandoned_jobs() -> QuerySet[ScheduledJob]:
    """Rows that failed too often and wait for a person."""
    return ScheduledJob.objects.filter(status=ScheduledJob.Status.GIVEN_UP).order_by("due_at")


def scheduled_jobs() -> QuerySet[ScheduledJob]:
    """Every job: waiting, done, given up."""
    return ScheduledJob.objects.all()
