"""Reminders that an address had refused, once it works again: decided anew, sent once or not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clients.identity.models import Client
from clients.reminders.domain.rules import Channel
from clients.reminders.hooks import kind_named
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.sealing import pack
from clients.reminders.selectors import SEND_JOB, failed_addresses, route_to
from clients.reminders.services.making import decided, is_over
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import plan_again

GONE = "What it was about is not to be told any more."
OVER = "Its occasion is over."
NO_MESSAGE = "The client wishes no message now, or none of their addresses takes one."


@dataclass(frozen=True)
class SentAgain:
    """A reminder that a lifted address had refused. ``why_not``: why it is not sent again; empty:
    it goes out now, decided once more."""

    reminder_id: UUID
    kind: str
    why_not: str


def send_again(notice: ContactNotice, now: datetime) -> list[SentAgain]:
    """Those of the notice's address that were refused, each sent once or said why not."""
    rows = Reminder.objects.filter(
        client_id=notice.client_id,
        address_code=notice.address_code,
        status=Reminder.Status.REFUSED,
    )
    return [_again(row, now) for row in rows.order_by("made_at", "id")]


def _again(row: Reminder, now: datetime) -> SentAgain:
    jobs = ScheduledJob.objects.filter(kind=SEND_JOB, about=row.pk)
    job = jobs.order_by("-id").first()
    why_not = GONE if job is None else _why_not(row, job.occasion, now)
    if job is not None and not why_not:
        # A mail that came back had been sent: it is not, until it goes again.
        Reminder.objects.filter(pk=row.pk).update(status=Reminder.Status.WAITING, sent_at=None)
        plan_again(job, now)
    else:
        Reminder.objects.filter(pk=row.pk).update(
            status=Reminder.Status.NOT_WANTED,
            sealed=pack(row.client_id, told=row.told, address=row.address, why_not=why_not),
        )
    return SentAgain(row.pk, row.kind, why_not)


def _why_not(row: Reminder, occasion: str, now: datetime) -> str:
    """Why a reminder is not to be sent any more; empty where it is."""
    client_id = row.client_id
    client = None if client_id is None else Client.objects.filter(pk=client_id).first()
    if client is None or client_id is None:
        return GONE
    found = decided(
        kind_named(row.kind), client_id=client_id, about=row.about, occasion=occasion, now=now
    )
    if found is None or found.occasion != row.occasion:
        return GONE
    if is_over(found, now):
        return OVER
    route = route_to(client, failed_addresses([client_id]))
    return NO_MESSAGE if route is None or route.channel is Channel.LIST else ""
