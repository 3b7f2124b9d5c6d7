"""Reminders on the desk's call list: what a person tells, and what came back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from clients.reminders.domain.rules import Addressee
from clients.reminders.models import ANSWERED, TO_CALL, ContactNotice, Reminder
from clients.reminders.sealing import fetch_keys
from clients.reminders.selectors import still_on_record

SAID = {
    ContactNotice.Kind.REFUSED: "The mail server takes no mail for {address}: ask for another.",
    ContactNotice.Kind.BOUNCED: "A mail to {address} came back: ask for another address.",
    ContactNotice.Kind.WRONG_NUMBER: "{address} takes no texts: ask for another number.",
    ContactNotice.Kind.STOPPED: "The client wants no more messages by {channel}:"
    " ask at the next visit what suits them.",
    ContactNotice.Kind.REPLIED: "The client replied to a text: {words}",
}


def _to_tell(_now: datetime) -> QuerySet[Reminder]:
    return Reminder.objects.filter(
        status=Reminder.Status.LISTED, addressee=Addressee.CLIENT, client_id__isnull=False
    )


def _told(rows: Sequence[Reminder], _now: datetime) -> list[str]:
    fetch_keys(rows)
    return [row.told for row in rows]


def _failed(_now: datetime) -> QuerySet[ContactNotice]:
    return ContactNotice.objects.filter(TO_CALL)


def _answered(_now: datetime) -> QuerySet[ContactNotice]:
    return ContactNotice.objects.filter(ANSWERED)


def _said(rows: Sequence[ContactNotice], _now: datetime) -> list[str]:
    fetch_keys(rows)
    return [
        SAID[ContactNotice.Kind(row.kind)].format(
            address=row.address, channel=row.channel, words=row.words
        )
        for row in rows
    ]


REMINDERS_TO_TELL = CallSource(
    reason="reminder_to_tell",
    explained="A reminder that the client is told by a person.",
    rows=_to_tell,
    by="day",
    about="id",
    since="made_at",
    told=_told,
)
ADDRESSES_FAILED = CallSource(
    reason="address_failed",
    explained="An address or number takes no messages any more.",
    rows=_failed,
    by="on_day",
    about="id",
    since="at",
    told=_said,
    still=still_on_record,
)
CLIENTS_ANSWERED = CallSource(
    reason="client_answered",
    explained="The client answered a message, or wants no more of them.",
    rows=_answered,
    by="on_day",
    about="id",
    since="at",
    told=_said,
)
