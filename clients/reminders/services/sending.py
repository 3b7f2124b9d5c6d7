"""A reminder goes out: decided once more, in the client's hours, never lost."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any, Final
from uuid import UUID

from celery.exceptions import SoftTimeLimitExceeded
from django.db import IntegrityError, connection, transaction
from django.db.models import F, Value
from django.db.models.functions import Coalesce

from clients.identity.models import Client
from clients.reminders.domain.hours import contact_from
from clients.reminders.domain.kinds import ReminderKind, Wanted
from clients.reminders.domain.rules import Channel, Wording
from clients.reminders.hooks import kind_named
from clients.reminders.mailing import AddressRefused, send_mail
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.sealing import address_code, fetch_keys, pack
from clients.reminders.selectors import (
    Route,
    contact_hours,
    message_limits,
    route_to,
    rule_of,
    usual_quiet_hours,
)
from clients.reminders.services.grouped import Group, read_group
from clients.reminders.services.making import plan_look, still_of_use
from clients.reminders.services.notices import keep_notice, key_since_lifted
from clients.reminders.stop_links import stop_link
from clients.reminders.texting import text_provider
from clients.reminders.wordings import mail_of, text_of
from practice.clock import clock
from practice.core.jobs import JobHandover
from practice.core.localtime import day_bounds, local_day
from practice.jobs.claims import LeaseLost, mark_not_wanted, ours_of, unlocked
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.mail import mail_connection
from practice.jobs.models import ScheduledJob
from practice.policy.selectors import practice_address

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class _Message:
    """One reminder on its way: where to, and what hands it over."""

    job: ScheduledJob
    row: Reminder
    client: Client
    route: Route
    code: str
    send: Callable[[], None]

    @property
    def goes_to(self) -> tuple[UUID, str]:
        """The client's address, as ``failed_addresses`` names one."""
        return (self.client.pk, self.code)


def prepare(jobs: Sequence[ScheduledJob]) -> list[Callable[[], None] | Exception]:
    """Decide on some reminders and count those that go: should the process die meanwhile, it is
    known that they may have come twice. For each what hands it over; else JobNotWanted where it
    is wanted no more, JobPostponed outside the client's hours, or what failed.

    Raises LeaseLost where somebody is changing one of several.
    """
    rows = Reminder.objects.in_bulk([job.about for job in jobs])
    group = read_group(jobs, rows)
    fetch_keys(rows.values())
    ways: list[Callable[[], None] | Exception] = []
    messages: list[_Message] = []
    for job in jobs:
        try:
            found = _message(job, rows.get(job.about), group)
        except SoftTimeLimitExceeded:
            raise
        except Exception as reason:  # noqa: BLE001  it is this one's and keeps none back
            ways.append(reason)
            continue
        if found is None:
            ways.append(_went_before)
            continue
        ways.append(partial(_go, found, group.refused))
        messages.append(found)
    if any(one.route.channel is Channel.MAIL for one in messages):
        with mail_connection():
            pass  # Where there is no server nothing is handed over: nothing is counted.
    _count_tries(messages)
    return ways


def _went_before() -> None:
    """Taken by the server before; only the job was not marked."""


def _message(job: ScheduledJob, row: Reminder | None, group: Group) -> _Message | None:
    """The reminder as it goes out now, None where it went. Raises JobNotWanted, JobPostponed."""
    if row is None or row.client_id is None:
        raise JobNotWanted
    if row.status == Reminder.Status.SENT:
        return None
    if row.status == Reminder.Status.REFUSED:
        raise JobNotWanted  # By the server before; only the job was not marked.
    now, kind = group.now, kind_named(row.kind)
    client = group.clients.get(row.client_id)
    wanted = still_of_use(group.deciders[row.kind](group.questions[job.pk]), now)
    route = route_to(client, group.failed) if client is not None else None
    if client is None or wanted is None or wanted.occasion != row.occasion or route is None:
        raise _not_wanted(row)
    if route.channel is Channel.LIST:
        raise _told_by_a_person(row, kind, job)
    _wait_for_hours(kind, client, now)
    send = _sending(row, kind, client, wanted, route)
    return _Message(job, row, client, route, address_code(route.address), send)


def _not_wanted(row: Reminder) -> JobNotWanted:
    Reminder.objects.filter(pk=row.pk).update(status=Reminder.Status.NOT_WANTED)
    return JobNotWanted()


def _told_by_a_person(row: Reminder, kind: ReminderKind, job: ScheduledJob) -> JobNotWanted:
    """The client wishes no message any more, or none can reach them."""
    if kind.on_call_list:
        return _not_wanted(row)
    with transaction.atomic():
        Reminder.objects.filter(pk=row.pk).update(
            status=Reminder.Status.LISTED, channel=Channel.LIST
        )
        plan_look(row, job, clock.now())
    return JobNotWanted()


def _wait_for_hours(kind: ReminderKind, client: Client, now: datetime) -> None:
    quiet = rule_of(kind).quiet(usual_quiet_hours())
    later = contact_from(now, client.zone, contact_hours(client), quiet)
    if later is not None:
        raise JobPostponed(later)


def _sending(
    row: Reminder, kind: ReminderKind, client: Client, wanted: Wanted, route: Route
) -> Callable[[], None]:
    """What sends it, as it reads now. Raises JobPostponed for a text that has no day."""
    wording = wanted.wording or Wording(rule_of(kind).template)
    practice = practice_address()
    if route.channel is Channel.MAIL:
        stop_at = stop_link(row.pk)
        mail = mail_of(wording, wanted.facts, practice, client.language, stop_at)
        return partial(_send_mail, row.pk, to=route.address, mail=mail, stop_at=stop_at)
    _take_day(row, client)
    text = text_of(wording, wanted.facts, practice, client.language)
    return partial(text_provider().send, route.address, text, str(row.pk))


def _send_mail(reminder_id: UUID, **mail: Any) -> None:
    with mail_connection() as connection:
        send_mail(connection, reminder_id, **mail)


def _go(message: _Message, refused: set[tuple[UUID, str]]) -> None:
    """Raises JobPostponed where the address refused one of the same group before: this one is
    decided on anew, by what is known of it now."""
    if message.goes_to in refused:
        not_begun([message.job])
        raise JobPostponed(clock.now())
    try:
        message.send()
    except AddressRefused as said:
        ended = _refused(message, str(said))
        refused.add(message.goes_to)
        raise ended from None


_WHERE: Final = (
    f"UPDATE {Reminder._meta.db_table} SET channel = %s, address_code = %s,"  # noqa: S608
    " sealed = %s WHERE id = %s"
)
"""In SQL: to make the ORM write it took a fifth of the time of a mail."""


def _count_tries(messages: Sequence[_Message]) -> None:
    """Raises LeaseLost where somebody is changing one of several."""
    rows = [one.row for one in messages]
    values = [
        (
            one.route.channel,
            one.code,
            pack(one.row.client_id, told=one.row.told, address=one.route.address),
            Reminder._meta.pk.get_db_prep_value(one.row.pk, connection),
        )
        for one in messages
    ]
    with transaction.atomic(), connection.cursor() as cursor:
        _update_all([row.pk for row in rows], tries=F("tries") + 1)
        cursor.executemany(_WHERE, values)


def taken(jobs: Sequence[ScheduledJob]) -> None:
    """Write down that the server took them. Raises LeaseLost where somebody is changing one of
    several."""
    sent_at = Coalesce("sent_at", Value(clock.now()))  # One that went before went then.
    _update_all([job.about for job in jobs], status=Reminder.Status.SENT, sent_at=sent_at)


def not_begun(jobs: Sequence[ScheduledJob]) -> None:
    """They were counted and were not handed over: the server was slow, or failed."""
    counted = Reminder.objects.filter(pk__in=[job.about for job in jobs])
    counted.exclude(status=Reminder.Status.SENT).update(tries=F("tries") - 1)


def _update_all(ids: Collection[UUID], **values: Any) -> None:
    rows = Reminder.objects.filter(pk__in=ids)
    if len(ids) == 1:
        rows.update(**values)
    elif unlocked(rows).update(**values) < len(ids):
        raise LeaseLost


SENDING: Final = JobHandover(prepare=prepare, taken=taken, not_begun=not_begun)


def _refused(message: _Message, words: str) -> JobNotWanted:
    """Keep that the address takes none, and that the job is over, in one transaction: whoever
    lifts it from now on finds a job that came to its end, and plans it again."""
    row, channel = message.row, message.route.channel
    text = channel is Channel.TEXT
    with transaction.atomic():
        keep_notice(
            key=key_since_lifted(f"refused:{row.pk}"),
            client_id=message.client.pk,
            kind=ContactNotice.Kind.WRONG_NUMBER if text else ContactNotice.Kind.REFUSED,
            channel=channel,
            address=message.route.address,
            words=words,
        )
        Reminder.objects.filter(pk=row.pk).update(status=Reminder.Status.REFUSED)
        mark_not_wanted(ours_of(message.job))
    return JobNotWanted()


def _take_day(row: Reminder, client: Client) -> None:
    """Take the client's day for this text: the database holds that it is the only one of the
    day. Raises JobPostponed where the day, or the week, has its texts."""
    now, zone = clock.now(), client.zone
    today = local_day(now, zone)
    if row.text_day == today:
        return
    limits = message_limits()
    week = Reminder.objects.filter(
        client_id=client.pk, text_day__gt=today - WEEK, text_day__lte=today
    ).exclude(pk=row.pk)
    taken = sorted(day for day in week.values_list("text_day", flat=True) if day is not None)
    if len(taken) >= limits.texts_per_week or limits.texts_per_day == 0:
        first: date = taken[0] if taken else today
        raise JobPostponed(_begin(first + WEEK, zone))
    try:
        with transaction.atomic():
            Reminder.objects.filter(pk=row.pk).update(text_day=today)
    except IntegrityError:
        raise JobPostponed(_begin(today + timedelta(days=1), zone)) from None


def _begin(day: date, zone: str) -> datetime:
    return day_bounds(day, zone)[0]
