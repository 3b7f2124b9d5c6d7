"""A reminder's time has come: decided again, and made once for its occasion and addressee."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from clients.identity.models import Client
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import Addressee, Channel
from clients.reminders.hooks import kind_named, kind_of_job
from clients.reminders.models import Reminder
from clients.reminders.sealing import pack
from clients.reminders.selectors import (
    LISTED_JOB,
    SEND_JOB,
    Route,
    failed_addresses,
    route_to,
    rule_of,
)
from practice.core.decisions import PRACTICE_ITSELF, Job
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.work.unit_of_work import UnitOfWork

LOOKED_AT_AGAIN: Final = timedelta(days=1)
"""What waits for its day is looked at each day: the practice may have changed the lead time."""
LISTED_LOOKED_AT: Final = timedelta(minutes=15)
"""So soon it is off the list when its reason is gone."""


def question(
    kind: ReminderKind, *, client_id: UUID, about: UUID, occasion: str, now: datetime
) -> Question:
    """What is asked of a kind at ``now``, by the practice's rule as it stands."""
    return Question(
        client_id=client_id, about=about, occasion=occasion, rule=rule_of(kind), now=now
    )


def decided(
    kind: ReminderKind, *, client_id: UUID, about: UUID, occasion: str, now: datetime
) -> Wanted | None:
    """The reminder as its kind would make it at ``now``; None where it is off, or its kind says
    so."""
    one = question(kind, client_id=client_id, about=about, occasion=occasion, now=now)
    return kind.decider([one])(one)


def still_of_use(found: Wanted | None, now: datetime) -> Wanted | None:
    """The reminder; None where it is of no use any more."""
    return None if found is None or is_over(found, now) else found


def is_over(found: Wanted, now: datetime) -> bool:
    """Whether a reminder is of no use any more."""
    return found.until is not None and now >= found.until


def remind(uow: UnitOfWork, job: ScheduledJob) -> None:
    """The handler of every kind's jobs. Raises JobPostponed where it is too early, JobNotWanted
    where nothing is to be told."""
    kind = kind_of_job(job.kind)
    found = decided(
        kind, client_id=job.subject, about=job.about, occasion=job.occasion, now=uow.now
    )
    wanted = still_of_use(found, uow.now)
    if wanted is None:
        raise JobNotWanted
    if wanted.at > uow.now:
        raise JobPostponed(min(wanted.at, uow.now + LOOKED_AT_AGAIN))
    addressee = Addressee(rule_of(kind).addressee)
    route = _route(kind, addressee, job.subject)
    if route is None or (route.channel is Channel.LIST and kind.on_call_list):
        raise JobNotWanted
    _make(uow, kind, job, wanted, addressee, route)


def _route(kind: ReminderKind, addressee: Addressee, client_id: UUID) -> Route | None:
    if addressee is not Addressee.CLIENT:
        return Route(Channel.LIST)
    client = Client.objects.filter(pk=client_id).first()
    failed = failed_addresses([client_id])
    route = route_to(client, failed) if client is not None else None
    if route is not None and rule_of(kind).channel == Channel.LIST:
        return Route(Channel.LIST)
    return route


def _make(
    uow: UnitOfWork,
    kind: ReminderKind,
    job: ScheduledJob,
    wanted: Wanted,
    addressee: Addressee,
    route: Route,
) -> None:
    """Once: two who make it at one moment meet in the unique key, and the second finds it."""
    told = route.channel is Channel.LIST
    client_id = None if job.subject == PRACTICE_ITSELF else job.subject
    row, made = Reminder.objects.get_or_create(
        kind=kind.name,
        about=job.about,
        occasion=wanted.occasion,
        addressee=addressee,
        defaults={
            "client_id": client_id,
            "practitioner_id": wanted.practitioner_id,
            "channel": route.channel,
            "sealed": pack(client_id, told=wanted.told, address=""),
            "day": wanted.day,
            "made_at": uow.now,
            "status": Reminder.Status.LISTED if told else Reminder.Status.WAITING,
        },
    )
    if made and told:
        plan_look(row, job, uow.now)
    elif made:
        occasion = f"{job.occasion}"[:80]
        write_jobs([Job(SEND_JOB, job.subject, row.pk, occasion, due_at=uow.now)])


def plan_look(row: Reminder, job: ScheduledJob, now: datetime) -> None:
    """What stands on a list is looked at again, until it was told or is of no use any more."""
    due_at = now + LISTED_LOOKED_AT
    write_jobs([Job(LISTED_JOB, job.subject, row.pk, f"{job.occasion}"[:80], due_at=due_at)])


def look_at_listed(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Take a reminder off the list whose reason is gone: a paper that was answered, a note that
    was signed, a session that is over. Raises JobPostponed while it stands."""
    row = Reminder.objects.filter(pk=job.about, status=Reminder.Status.LISTED).first()
    if row is None:
        raise JobNotWanted
    found = decided(
        kind_named(row.kind),
        client_id=job.subject,
        about=row.about,
        occasion=job.occasion,
        now=uow.now,
    )
    stands = found is not None and found.occasion == row.occasion
    if found is not None and row.addressee == Addressee.CLIENT:
        # Past its use nothing is told to a client; for the staff it is still to be seen to.
        stands = stands and not is_over(found, uow.now)
    if stands:
        raise JobPostponed(uow.now + LISTED_LOOKED_AT)
    Reminder.objects.filter(pk=row.pk, status=Reminder.Status.LISTED).update(
        status=Reminder.Status.NOT_WANTED
    )
