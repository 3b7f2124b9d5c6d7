"""Reminders that are due now: rows of re-checks of one client by mail, and their jobs."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from uuid import UUID, uuid4

from clients.reminders.models import Reminder
from clients.reminders.sealing import pack
from clients.reminders.selectors import SEND_JOB
from practice.clock import clock
from practice.core.jobs import JobOrder
from practice.jobs.models import ScheduledJob
from sessions.stretches.domain.jobs import REMINDER_JOB
from sessions.stretches.models import Recheck

DAYS_OVERDUE = 9
"""In the second week: the first weekly reminder is due."""


def overdue(client_id: UUID, count: int) -> list[UUID]:
    """So many re-checks of a client are overdue; no job speaks of them."""
    due = clock.now() - timedelta(days=DAYS_OVERDUE)
    rows = [
        Recheck(
            id=uuid4(),
            client_id=client_id,
            version=1,
            prescription_id=uuid4(),
            months=2,
            due_on=due.date(),
            due_at=due,
            call_at=due,
            status="on_call_list",
            on_call_list_at=due,
        )
        for _ in range(count)
    ]
    Recheck.objects.bulk_create(rows)
    return [row.pk for row in rows]


def jobs_due(
    kind: str, client_id: UUID, about: Iterable[UUID], *, over: timedelta = timedelta(0)
) -> None:
    """A job about each, due a second ago or, one after the other, in the time ``over`` before."""
    ids = list(about)
    last = clock.now() - timedelta(seconds=1)
    ScheduledJob.objects.bulk_create(
        ScheduledJob(
            kind=kind,
            key=f"harness {one}",
            subject=client_id,
            about=one,
            occasion="1 v1",
            order=JobOrder.REMINDER,
            due_at=last - over * (number / len(ids)),
        )
        for number, one in enumerate(ids)
    )


def reminders_due(client_id: UUID, count: int) -> None:
    """So many re-checks are overdue, and nobody was reminded yet."""
    jobs_due(REMINDER_JOB, client_id, overdue(client_id, count))


def mails_due(client_id: UUID, count: int) -> None:
    """So many reminders were decided on, and their mails are due."""
    now = clock.now()
    rows = Reminder.objects.bulk_create(
        Reminder(
            kind=REMINDER_JOB.removeprefix("remind_"),
            about=one,
            occasion="overdue 1",
            addressee="client",
            client_id=client_id,
            channel="mail",
            sealed=pack(client_id, told="", address=""),
            day=now.date(),
            made_at=now,
            status=Reminder.Status.WAITING,
        )
        for one in overdue(client_id, count)
    )
    jobs_due(SEND_JOB, client_id, [row.pk for row in rows])


def all_sent(count: int) -> bool:
    """Whether each was made once, and is done."""
    open_ = ScheduledJob.objects.filter(kind__in=(REMINDER_JOB, SEND_JOB)).exclude(status="done")
    sent = Reminder.objects.filter(status=Reminder.Status.SENT).count()
    return sent == count and not open_.exists()
