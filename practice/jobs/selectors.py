"""Questions about jobs, for the health check and the owner's list."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from practice.jobs.models import ScheduledJob, TickMark


def oldest_overdue(now: datetime) -> datetime | None:
    """When the oldest row that should have been done by now fell due, or None."""
    return (
        ScheduledJob.objects.filter(status=ScheduledJob.Status.WAITING, due_at__lte=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )


def failing_jobs() -> QuerySet[ScheduledJob]:
    """Rows that failed and are tried again."""
    return ScheduledJob.objects.filter(status=ScheduledJob.Status.WAITING, attempts__gt=0)


def last_tick() -> datetime | None:
    """When a worker last looked for what is due, or None."""
    return TickMark.objects.values_list("at", flat=True).first()


def states_of_jobs(kind: str, about: Iterable[UUID]) -> dict[UUID, str]:
    """The status of the last job of a kind about each of some things; one query."""
    rows = ScheduledJob.objects.filter(kind=kind, about__in=set(about)).order_by("id")
    return dict(rows.values_list("about", "status"))


def jobs_about(clients: Iterable[UUID]) -> dict[UUID, list[ScheduledJob]]:
    """Every job of some clients, done ones too, by client; one query."""
    found: dict[UUID, list[ScheduledJob]] = {}
    for row in ScheduledJob.objects.filter(subject__in=list(clients)):
        if row.subject is not None:
            found.setdefault(row.subject, []).append(row)
    return found


def abandoned_jobs() -> QuerySet[ScheduledJob]:
    """Rows that failed too often and wait for a person."""
    return ScheduledJob.objects.filter(status=ScheduledJob.Status.GIVEN_UP).order_by("due_at")


def scheduled_jobs() -> QuerySet[ScheduledJob]:
    """Every job: waiting, done, given up."""
    return ScheduledJob.objects.all()
