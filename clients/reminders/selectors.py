"""Questions on reminders: how a client may be reached, who sees which."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Exists, OuterRef, Q, QuerySet

from clients.identity.domain.contact import ContactBy, ContactHours, Phone
from clients.identity.models import Client
from clients.identity.selectors import of_visible_clients
from clients.reminders.domain.hours import ReminderSettings
from clients.reminders.domain.kinds import ReminderKind
from clients.reminders.domain.rules import Addressee, Channel, MessageLimits
from clients.reminders.models import FAILED, ContactNotice, Reminder, UnknownReply
from clients.reminders.sealing import address_code
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.policy.selectors import practice_address, settings_group

SEND_JOB = "send_reminder"
LISTED_JOB = "look_at_listed_reminder"


@dataclass(frozen=True)
class Route:
    """How a client is reached: the channel and where to."""

    channel: Channel
    address: str = ""


def rule_of(kind: ReminderKind) -> Any:
    """The practice's rule of a kind, as the kind's struct."""
    return settings_group(kind.job, kind.settings)[0]


def usual_quiet_hours() -> ReminderSettings:
    """The hours in which the practice writes to nobody."""
    return settings_group("reminders", ReminderSettings)[0]


def message_limits() -> MessageLimits:
    """How much a client gets at most."""
    return settings_group("messages", MessageLimits)[0]


def contact_hours(client: Client) -> ContactHours | None:
    """The hours that the client named."""
    return msgspec.convert(client.contact_hours, ContactHours | None)


def failed_addresses(client_ids: Collection[UUID]) -> set[tuple[UUID, str]]:
    """The addresses of some clients that failed for good, as client and code; one query."""
    rows = ContactNotice.objects.filter(FAILED, client_id__in=client_ids)
    return set(rows.values_list("client_id", "address_code"))


def notice_key(reply_key: str, client_id: UUID) -> str:
    """The key of what a reply by text leaves with a client."""
    return f"{reply_key}:{client_id}"


def number_stop(client_id: UUID, number: str) -> UnknownReply | None:
    """A STOP that came from a number while it was nobody's: it holds for whoever it is recorded
    for, until it is assigned to them and their own word decides."""
    stops = UnknownReply.objects.filter(stops=True, address_code=address_code(number))
    for one in stops.order_by("at", "id"):
        if not ContactNotice.objects.filter(key=notice_key(one.key, client_id)).exists():
            return one
    return None


def unknown_replies() -> QuerySet[UnknownReply]:
    """What came from numbers that fit no client."""
    return UnknownReply.objects.all()


def still_on_record(notices: Sequence[ContactNotice]) -> list[ContactNotice]:
    """Those of an address that its client still has: one that was replaced since needs no call,
    and counts again once it is given again. Rows from before this was marked are found here."""
    present = present_codes(Client.objects.filter(pk__in={one.client_id for one in notices}))
    return [one for one in notices if one.address_code in present.get(one.client_id, ())]


def present_codes(clients: QuerySet[Client]) -> dict[UUID, set[str]]:
    """The codes of every address and number that some clients have now."""
    rows = clients.values_list("pk", "email", "phone", "phones")
    return {
        pk: {address_code(one) for one in (email, phone, *(of["number"] for of in phones)) if one}
        for pk, email, phone, phones in rows
    }


def standing_stop(client_id: UUID, channel: Channel) -> ContactNotice | None:
    """The client's wish for no more messages of a channel, if they did not take it back."""
    return standing_stops(client_id, channel).first()


def standing_stops(client_id: UUID, channel: Channel) -> QuerySet[ContactNotice]:
    """Each time that they said so and did not take it back, the first of them first."""
    return ContactNotice.objects.filter(
        client_id=client_id,
        channel=channel,
        kind=ContactNotice.Kind.STOPPED,
        lifted_at__isnull=True,
    ).order_by("at", "id")


def contact_notices(client_ids: Collection[UUID]) -> QuerySet[ContactNotice]:
    """What came back from some clients."""
    return ContactNotice.objects.filter(client_id__in=client_ids)


def contact_notice_get(actor: Actor, notice_id: UUID) -> ContactNotice:
    """One of a client whom the caller sees. Raises Rejected 404."""
    rows = of_visible_clients(actor, ContactNotice.objects.filter(pk=notice_id))
    return existing(rows.first(), "contact notice")


def route_to(client: Client, failed: Collection[tuple[UUID, str]]) -> Route | None:
    """How the client wishes to be told, the first way that can be gone; None: only in person.

    Mail needs the practice's postal address, which stands in each. An address that failed is not
    tried; another one is a new one. ``failed``: of ``failed_addresses``.
    """

    def takes_none(address: str) -> bool:
        return (client.pk, address_code(address)) in failed

    for wish in (client.contact_by, *client.contact_also_by):
        if wish == ContactBy.MAIL and client.email and practice_address().postal_address.strip():
            if not takes_none(client.email):
                return Route(Channel.MAIL, client.email)
        elif wish == ContactBy.TEXT:
            for phone in msgspec.convert(client.phones, tuple[Phone, ...]):
                if phone.texts and not (
                    takes_none(phone.number) or number_stop(client.pk, phone.number)
                ):
                    return Route(Channel.TEXT, phone.number)
    spoken = {client.contact_by, *client.contact_also_by} - {ContactBy.NONE}
    return Route(Channel.LIST) if spoken else None


def reminder_list(actor: Actor) -> QuerySet[Reminder]:
    """What the caller is told: the owner everything, a practitioner what is for them, the desk
    what is for it and what went to the clients whom it sees."""
    rows = Reminder.objects.all()
    if actor.role is Role.OWNER:
        return rows
    if actor.role is Role.PRACTITIONER:
        rows = rows.filter(addressee=Addressee.PRACTITIONER, practitioner_id=actor.practitioner_id)
    else:
        rows = rows.filter(addressee__in=(Addressee.DESK, Addressee.CLIENT))
    return of_visible_clients(actor, rows)


def reminder_get(actor: Actor, reminder_id: UUID) -> Reminder:
    """One of them. Raises Rejected 404."""
    return existing(reminder_list(actor).filter(pk=reminder_id).first(), "reminder")


NOT_REACHED = (Reminder.Status.NOT_WANTED, Reminder.Status.REFUSED)


def given_up() -> Exists:
    """For a query on reminders: whether its message was given up."""
    return Exists(
        ScheduledJob.objects.filter(
            kind=SEND_JOB, about=OuterRef("pk"), status=ScheduledJob.Status.GIVEN_UP
        )
    )


def unsent_about(kind: str) -> Exists:
    """For a query on what reminders of a kind are about: whether one never reached its client."""
    mine = Reminder.objects.filter(kind=kind, about=OuterRef("pk"), addressee=Addressee.CLIENT)
    return Exists(mine.filter(Q(status__in=NOT_REACHED) | Q(given_up())))


MAIL_STATES = {
    Reminder.Status.WAITING: "not_sent_yet",
    Reminder.Status.SENT: "sent",
    Reminder.Status.NOT_WANTED: "not_wanted",
    Reminder.Status.REFUSED: "given_up",
}
"""How the message of a thing is shown, by the status of its last reminder."""


def states_of_reminders(kind: str, about: Collection[UUID]) -> dict[UUID, str]:
    """How the last message to a client about each of some things stands; one query."""
    if not about:
        return {}
    mine = Reminder.objects.filter(kind=kind, about__in=about, addressee=Addressee.CLIENT)
    rows = mine.annotate(lost=given_up()).order_by("made_at", "id")
    return {
        row.about: "given_up" if row.lost else MAIL_STATES[Reminder.Status(row.status)]
        for row in rows
        if row.status in MAIL_STATES
    }
