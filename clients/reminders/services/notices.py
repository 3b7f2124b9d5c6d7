"""What came back: addresses that take nothing, wishes to stop, replies."""

from __future__ import annotations

from typing import Any, Final
from uuid import UUID

import msgspec
from django.db import transaction

from clients.identity.domain.contact import ContactBy
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.identity.domain.state import IDENTITY
from clients.identity.models import Client
from clients.reminders.domain.replies import says_stop, says_wrong_number
from clients.reminders.domain.rules import Channel
from clients.reminders.models import FAILED, ContactNotice, Reminder, UnknownReply
from clients.reminders.numbers import who_gets_texts_at
from clients.reminders.sealing import address_code, pack
from clients.reminders.selectors import notice_key, present_codes
from clients.reminders.stop_links import reminder_of
from clients.reminders.texting import TextReply, text_provider
from practice.clock import clock
from practice.core.decisions import PRACTICE_ITSELF, Actor, Context, Decided, States
from practice.core.localtime import local_day
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.policy.selectors import practice_get
from practice.work.commands import run_command
from practice.work.unit_of_work import UnitOfWork

ADDRESSES: Final = frozenset({"email", "phone", "phones"})
OF_ADDRESS: Final = (
    ContactNotice.Kind.REFUSED,
    ContactNotice.Kind.BOUNCED,
    ContactNotice.Kind.WRONG_NUMBER,
)
WISHES = {Channel.MAIL: ContactBy.MAIL, Channel.TEXT: ContactBy.TEXT}


def keep_notice(
    *,
    key: str,
    client_id: UUID,
    kind: str,
    channel: str,
    address: str = "",
    words: str,
    noted_by: UUID | None = None,
) -> ContactNotice:
    """Keep what came back, once by its key."""
    now, code = clock.now(), address_code(address)
    with transaction.atomic():
        row, _ = ContactNotice.objects.get_or_create(
            key=key,
            defaults={
                "client_id": client_id,
                "kind": kind,
                "channel": channel,
                "address_code": code,
                "sealed": pack(client_id, address=address, words=words),
                "on_day": local_day(now, practice_get().zone),
                "at": now,
                "noted_by": noted_by,
                "replaced": kind in OF_ADDRESS and _replaced(client_id, code),
            },
        )
    return row


def _replaced(client_id: UUID, code: str) -> bool:
    """Whether the client has another address by now. Their row is held, so that a change of it
    comes before this, or finds the notice."""
    rows = Client.objects.select_for_update(no_key=True).filter(pk=client_id)
    return code not in present_codes(rows).get(client_id, ())


def mark_replaced(client_id: UUID, event: ClientDetailsChanged) -> None:
    """Another address or number: what failed at one that the client has no more needs no call,
    what failed at one that they have again does."""
    if not ADDRESSES.intersection(event.changed):
        return
    numbers = (one.number for one in event.details.known_phones())
    present = {address_code(one) for one in (event.details.email, *numbers) if one}
    for row in ContactNotice.objects.filter(FAILED, client_id=client_id).defer("sealed"):
        if row.replaced is (row.address_code in present):
            row.replaced = not row.replaced
            row.save(update_fields=["replaced"])


def key_since_lifted(key: str) -> str:
    """A key for what comes once more after it was lifted: it is new, and not what was lifted."""
    again = ContactNotice.objects.filter(key__startswith=key, lifted_at__isnull=False).count()
    return f"{key}:{again}" if again else key


def without(details: ClientDetails, channel: Channel) -> dict[str, Any]:
    """The changes of a client's details that end a channel for every kind of message; none
    where it is not allowed as it is."""
    wish = WISHES[channel]
    changes: dict[str, Any] = {}
    rest = tuple(one for one in details.contact_also_by if one is not wish)
    if details.contact_by is wish:
        changes["contact_by"] = rest[0] if rest else ContactBy.NONE
        rest = rest[1:]
    if rest != details.contact_also_by:
        changes["contact_also_by"] = rest
    phones = details.known_phones()
    if channel is Channel.TEXT and any(one.texts for one in phones):
        ended = (msgspec.structs.replace(one, texts=False) for one in phones)
        changes["phones"] = tuple(ended)
    return changes


def end_channel(uow: UnitOfWork, *, client_id: UUID, channel: Channel) -> None:
    """The client wants no more messages of a channel: of no kind, from now on.

    Nothing else of their details is looked at: a wish to stop is never refused.
    """
    uow.lock(client_id)

    def decide(states: States, _ctx: Context) -> Decided:
        details = states[IDENTITY].details
        changes = without(details, channel) if details is not None else {}
        if details is None or not changes:
            return []
        after = msgspec.structs.replace(details, **changes)
        return [ClientDetailsChanged(details=after, changed=tuple(changes))]

    uow.execute(client_id, (IDENTITY,), decide)


def stop(reminder: Reminder, client_id: UUID, *, key: str, words: str) -> None:
    """End the channel of a reminder for its client, and show the desk that they said so."""
    channel = Channel(reminder.channel)
    stop_at(reminder.address, client_id, channel=channel, key=key, words=words)


def stop_at(address: str, client_id: UUID, *, channel: Channel, key: str, words: str) -> None:
    """End a channel for a client who said so from an address, and show the desk that they did."""

    def execute(uow: UnitOfWork) -> None:
        uow.lock(client_id)
        if ContactNotice.objects.filter(key=key).exists():
            return  # It came before, and the client may have changed their mind since.
        end_channel(uow, client_id=client_id, channel=channel)
        keep_notice(
            key=key,
            client_id=client_id,
            kind=ContactNotice.Kind.STOPPED,
            channel=channel,
            address=address,
            words=words,
        )

    _as_practice(execute, key)


def stop_by_link(token: str) -> None:
    """End what the link of a mail is for; a link of nobody ends nothing."""
    reminder_id = reminder_of(token)
    row = Reminder.objects.filter(pk=reminder_id).first() if reminder_id else None
    if row is not None and row.client_id is not None:
        stop(row, row.client_id, key=key_since_lifted(f"stopped:{row.pk}"), words="")


def _as_practice(execute: Any, request_id: str) -> None:
    """A record that was closed or never was needs nothing ended."""
    try:
        run_command(Actor(id=PRACTICE_ITSELF, role=Role.OWNER), request_id[:64], None, execute)
    except Rejected as refused:
        if refused.status not in (404, 409, 410):
            raise


def take_replies() -> None:
    """Each tick: keep what came in by text; a word that ends texts ends them at once."""
    provider = text_provider()
    for reply in provider.replies():
        take_reply(reply)
        provider.confirm(reply)


def take_reply(reply: TextReply) -> None:
    """Keep one reply with every client who was written to at its number, or might be; one that
    fits nobody until a person settles it."""
    found = who_gets_texts_at(reply.number)
    if not found:
        keep_unknown(reply)
    for client_id in found:
        key = notice_key(reply.key, client_id)
        if says_stop(reply.words):
            stop_at(reply.number, client_id, channel=Channel.TEXT, key=key, words=reply.words)
            continue
        wrong = says_wrong_number(reply.words)
        keep_notice(
            key=key,
            client_id=client_id,
            kind=ContactNotice.Kind.WRONG_NUMBER if wrong else ContactNotice.Kind.REPLIED,
            channel=Channel.TEXT,
            address=reply.number,
            words=reply.words,
        )


def keep_unknown(reply: TextReply) -> None:
    """Keep a reply whose number fits no client, once by its key."""
    UnknownReply.objects.get_or_create(
        key=reply.key,
        defaults={
            "address_code": address_code(reply.number),
            "stops": says_stop(reply.words),
            "sealed": pack(None, number=reply.number, words=reply.words),
            "at": clock.now(),
        },
    )
