"""A reminder's time has come: decided again, and made once for its occasion and addressee."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from clients.identity.models import Client
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import Addressee, Channel
from clients.reminders.hooks import kind_of_job
from clients.reminders.models import Reminder
from clients.reminders.sealing import pack
from clients.reminders.selectors import SEND_JOB, Route, route_to, rule_of
from practice.core.decisions import PRACTICE_ITSELF, Job
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.work.unit_of_work import UnitOfWork

LOOKED_AT_AGAIN: Final = timedelta(days=1)
"""What waits for its day is looked at each day: the practice may have changed the lead time."""


def wanted_now(
    kind: ReminderKind, *, client_id: UUID, about: UUID, occasion: str, now: datetime
) -> Wanted | None:
    """The reminder as it is wanted at ``now``; None where it is off, of no use any more, or its
    kind says so."""
    rule = rule_of(kind)
    if not rule.is_on:
        return None
    asked = Question(client_id=client_id, about=about, occasion=occasion, rule=rule, now=now)
    found = kind.decide(asked)
    if found is None or (found.until is not None and now >= found.until):
        return None
    return found


def remind(uow: UnitOfWork, job: ScheduledJob) -> None:
    """The handler of every kind's jobs. Raises JobPostponed where it is too early, JobNotWanted
    where nothing is to be told."""
    kind = kind_of_job(job.kind)
    wanted = wanted_now(
        kind, client_id=job.subject, about=job.about, occasion=job.occasion, now=uow.now
    )
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
    route = route_to(client) if client is not None else None
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
    if made and not told:
        occasion = f"{job.occasion}"[:80]
        write_jobs([Job(SEND_JOB, job.subject, row.pk, occasion, due_at=uow.now)])
