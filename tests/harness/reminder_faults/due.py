"""What is due: re-checks that are overdue, sessions of tomorrow and of this morning."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final
from uuid import UUID, uuid4

from django.db import Error, connection

from clients.identity.domain.contact import ContactBy
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.reminders.models import Reminder
from clients.reminders.selectors import SEND_JOB
from practice.clock import clock
from practice.core.localtime import local_day
from practice.jobs.models import ScheduledJob
from sessions.booking.domain.jobs import SESSION_REMINDER
from sessions.calendar.models import Session
from sessions.stretches.domain.jobs import REMINDER_JOB
from sessions.stretches.models import Recheck
from tests.builders import Built
from tests.harness.reminders_due import jobs_due, overdue
from tests.sessions.people import practice_writes, registered, tell, zone_at_noon

KINDS: Final = (REMINDER_JOB, SESSION_REMINDER, SEND_JOB)


def clients_by_mail(built: Built, count: int, zone: str = "") -> list[UUID]:
    """So many who may be written to; where they live it is noon, unless a zone is given."""
    practice_writes()
    found = [registered(built) for _ in range(count)]
    for number, client_id in enumerate(found):
        details = ClientDetails(
            given_name="Rosa",
            family_name="Marsh",
            email=f"rosa{number}@example.org",
            zone=zone or zone_at_noon(),
            contact_by=ContactBy.MAIL,
            facility_ids=(built.east.pk,),
        )
        tell(built, client_id, ClientDetailsChanged(details=details))
    return found


def rechecks_due(clients: Sequence[UUID], count: int, over: timedelta = timedelta(0)) -> set[UUID]:
    """So many re-checks, dealt out among the clients, whose reminders fell due in a time."""
    found: set[UUID] = set()
    for number, client_id in enumerate(clients):
        share = len(range(number, count, len(clients)))
        some = overdue(client_id, share)
        jobs_due(REMINDER_JOB, client_id, some, over=over)
        found |= set(some)
    return found


def sessions_due(client_id: UUID, count: int, first: datetime, over: timedelta) -> set[UUID]:
    """Booked sessions of a minute, one after the other, whose reminders fell due in a time."""
    zone, minute = zone_at_noon(), timedelta(minutes=1)
    starts = [first + number * minute for number in range(count)]
    rows = [
        Session(
            id=uuid4(),
            client_id=client_id,
            version=1,
            practitioner_id=uuid4(),
            facility_id=uuid4(),
            starts_at=at,
            ends_at=at + minute,
            local_date=local_day(at, zone),
            local_end_date=local_day(at, zone),
            zone=zone,
            status="booked",
        )
        for at in starts
    ]
    Session.objects.bulk_create(rows)
    some = [row.pk for row in rows]
    jobs_due(SESSION_REMINDER, client_id, some, over=over)
    return set(some)


def nothing_waits() -> bool:
    """Whether every reminder was decided on and handed over; False while no database answers."""
    try:
        return not ScheduledJob.objects.filter(kind__in=KINDS, status="waiting").exists()
    except Error:
        connection.close()
        return False


def handled_so_far() -> int:
    """How many reminders were handed over."""
    try:
        return Reminder.objects.filter(sent_at__isnull=False).count()
    except Error:
        connection.close()
        return 0


def at_once(hours: int) -> datetime:
    """An instant so many hours from now."""
    return clock.now() + timedelta(hours=hours)


def forget() -> None:
    """Nothing is due, and nothing was sent, before the next fault."""
    for model in (Reminder, ScheduledJob, Recheck, Session):
        model.objects.all().delete()
