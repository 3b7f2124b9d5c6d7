"""A reminder goes out: decided once more, in the client's hours, never lost."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import F

from clients.identity.models import Client
from clients.reminders.domain.hours import contact_from
from clients.reminders.domain.kinds import ReminderKind, Wanted
from clients.reminders.domain.rules import Channel, Wording
from clients.reminders.hooks import kind_named
from clients.reminders.mailing import AddressRefused, send_mail
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.sealing import address_code, pack
from clients.reminders.selectors import (
    Route,
    contact_hours,
    message_limits,
    route_to,
    rule_of,
    usual_quiet_hours,
)
from clients.reminders.services.making import plan_look, wanted_now
from clients.reminders.services.notices import keep_notice, key_since_lifted
from clients.reminders.stop_links import stop_link
from clients.reminders.texting import text_provider
from clients.reminders.wordings import mail_of, text_of
from practice.clock import clock
from practice.core.localtime import day_bounds, local_day
from practice.jobs.accepted import keep_accepted
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.mail import mail_connection
from practice.jobs.models import ScheduledJob
from practice.policy.selectors import practice_address

WEEK = timedelta(days=7)


def deliver_reminder(job: ScheduledJob) -> None:
    """Hand one reminder over. Raises JobNotWanted where it is wanted no more, JobPostponed
    outside the client's hours; whatever else fails is tried again."""
    row = Reminder.objects.filter(pk=job.about).first()
    if row is None or row.client_id is None:
        raise JobNotWanted
    if row.status == Reminder.Status.SENT:
        return  # Taken by the server before; only the job was not marked.
    now = clock.now()
    kind = kind_named(row.kind)
    client = Client.objects.filter(pk=row.client_id).first()
    wanted = wanted_now(
        kind, client_id=row.client_id, about=row.about, occasion=job.occasion, now=now
    )
    route = route_to(client) if client is not None else None
    if client is None or wanted is None or wanted.occasion != row.occasion or route is None:
        raise _not_wanted(row)
    if route.channel is Channel.LIST:
        raise _told_by_a_person(row, kind, job)
    _wait_for_hours(kind, client, now)
    _hand_over(row, kind, client, wanted, route)


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


def _hand_over(
    row: Reminder, kind: ReminderKind, client: Client, wanted: Wanted, route: Route
) -> None:
    wording = wanted.wording or Wording(rule_of(kind).template)
    practice = practice_address()
    try:
        if route.channel is Channel.MAIL:
            stop_at = stop_link(row.pk)
            mail = mail_of(wording, wanted.facts, practice, client.language, stop_at)
            with mail_connection() as connection:
                _count_try(row, route)
                send_mail(connection, row.pk, to=route.address, mail=mail, stop_at=stop_at)
        else:
            _take_day(row, client)
            text = text_of(wording, wanted.facts, practice, client.language)
            _count_try(row, route)
            text_provider().send(route.address, text, str(row.pk))
    except AddressRefused as refused:
        raise _refused(row, client, route, str(refused)) from None
    keep_accepted(
        lambda: Reminder.objects.filter(pk=row.pk).update(
            status=Reminder.Status.SENT, sent_at=clock.now()
        )
    )


def _count_try(row: Reminder, route: Route) -> None:
    """Before it is handed over: should the process die meanwhile, it is known that it may have
    come twice."""
    Reminder.objects.filter(pk=row.pk).update(
        tries=F("tries") + 1,
        channel=route.channel,
        address_code=address_code(route.address),
        sealed=pack(row.client_id, told=row.told, address=route.address),
    )


def _refused(row: Reminder, client: Client, route: Route, words: str) -> JobNotWanted:
    text = route.channel is Channel.TEXT
    with transaction.atomic():
        keep_notice(
            key=key_since_lifted(f"refused:{row.pk}"),
            client_id=client.pk,
            kind=ContactNotice.Kind.WRONG_NUMBER if text else ContactNotice.Kind.REFUSED,
            channel=route.channel,
            address=route.address,
            words=words,
        )
        Reminder.objects.filter(pk=row.pk).update(status=Reminder.Status.REFUSED)
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
