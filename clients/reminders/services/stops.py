"""What a client says to the staff about messages, and what the desk found out of an address."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final
from uuid import UUID, uuid4

import msgspec
from django.db.models import QuerySet

from clients.identity.domain.contact import ContactBy, Phone
from clients.identity.domain.decisions import check_details
from clients.identity.domain.events import (
    ClientDetails,
    ClientDetailsChanged,
    ClientRegistered,
)
from clients.identity.domain.state import IDENTITY
from clients.reminders.domain.rules import Channel
from clients.reminders.models import FAILED, ContactNotice
from clients.reminders.sealing import pack
from clients.reminders.selectors import (
    contact_notice_get,
    number_stop,
    standing_stop,
    standing_stops,
)
from clients.reminders.services.notices import WISHES, end_channel, keep_notice
from clients.reminders.services.sent_again import send_again
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import Rejected
from practice.work.unit_of_work import UnitOfWork


class SaidBy(StrEnum):
    """How the client told the practice."""

    PHONE = "phone"
    IN_PERSON = "in_person"
    IN_WRITING = "in_writing"


@dataclass(frozen=True, slots=True, kw_only=True)
class StopMessages:
    """The client wants no more messages. ``channels``: which; all that there are by default."""

    said_by: SaidBy
    channels: tuple[Channel, ...] = (Channel.MAIL, Channel.TEXT)
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftNotice:
    """Why it holds no more: the address works again, or the client's own word and how it came."""

    reason: str


def messages_stop(uow: UnitOfWork, *, client_id: UUID, command: StopMessages) -> ContactNotice:
    """End channels for every kind of message, as the link in a mail or a reply does; what is
    waiting to go out by them is told otherwise or not at all. Never refused: said again in the
    same words it is answered by what stands, in others it is kept beside it."""
    uow.lock(client_id)
    words = f"{command.said_by}: {command.words.strip()}".removesuffix(": ")
    rows = []
    for channel in command.channels:
        end_channel(uow, client_id=client_id, channel=channel)
        rows.append(
            _said_before(client_id, channel, words)
            or keep_notice(
                key=f"told:{uuid4()}",
                client_id=client_id,
                kind=ContactNotice.Kind.STOPPED,
                channel=channel,
                words=words,
                noted_by=uow.actor.id,
            )
        )
    return rows[0]


def _said_before(client_id: UUID, channel: Channel, words: str) -> ContactNotice | None:
    """The wish that stands and was told to the staff in these very words."""
    told = standing_stops(client_id, channel).filter(noted_by__isnull=False)
    return next((one for one in told if one.words == words), None)


def notice_lift(uow: UnitOfWork, *, contact_notice_id: UUID, command: LiftNotice) -> ContactNotice:
    """An address works again, or the client wants messages again: the reason is kept, with who
    and when. Again for the same reason, it stays as it was. Raises Rejected 409 for another
    reason, with the one that stands, and for a reply, which holds nothing up; 400 where the wish
    cannot be carried out, e.g. there is no address on record. What a failed address had refused
    is decided again: it is sent once, or says why not (``sent_again`` of the row)."""
    row = contact_notice_get(uow.actor, contact_notice_id)
    uow.lock(row.client_id)
    row.refresh_from_db()
    if row.lifted_at is not None:
        return _lifted_before(row, command.reason)
    if row.kind == ContactNotice.Kind.REPLIED:
        raise Rejected("nothing_to_lift", "A reply holds nothing up; there is nothing to lift.")
    if row.kind == ContactNotice.Kind.STOPPED:
        _allow_again(uow, row.client_id, Channel(row.channel))
    for one in _standing_alike(row):
        one.sealed = pack(
            one.client_id, address=one.address, words=one.words, lifted_because=command.reason
        )
        one.lifted_at, one.lifted_by = uow.now, uow.actor.id
        one.save(update_fields=["sealed", "lifted_at", "lifted_by"])
    row.refresh_from_db()
    failed = row.kind != ContactNotice.Kind.STOPPED
    row.sent_again = send_again(row, uow.now) if failed else []  # type: ignore[attr-defined]
    return row


def _standing_alike(row: ContactNotice) -> QuerySet[ContactNotice]:
    """Those that hold up the same as a notice: the client's channel, or their address."""
    if row.kind == ContactNotice.Kind.STOPPED:
        return standing_stops(row.client_id, Channel(row.channel))
    return ContactNotice.objects.filter(
        FAILED, client_id=row.client_id, address_code=row.address_code
    )


def _lifted_before(row: ContactNotice, reason: str) -> ContactNotice:
    """The notice as it stands, where it was lifted for the same reason."""
    if row.lifted_because == reason:
        return row
    since = _standing_alike(row).order_by("-at").first()
    then = " What holds it up now came since: lift `standing_notice_id`." if since else ""
    raise Rejected(
        "already_lifted",
        f"It was lifted before, for a reason that stands: {row.lifted_because}{then}",
        extra={
            "lifted_because": row.lifted_because,
            "standing_notice_id": str(since.pk) if since else None,
        },
    )


def with_channel(details: ClientDetails, channel: Channel) -> dict[str, Any]:
    """The changes of a client's details that allow a channel again; none where it is allowed.
    Texts go to the first number, since all were ended."""
    wish = WISHES[channel]
    changes: dict[str, Any] = {}
    if details.contact_by is ContactBy.NONE:
        changes["contact_by"] = wish
    elif not details.may_contact(wish):
        changes["contact_also_by"] = (*details.contact_also_by, wish)
    phones = details.known_phones()
    if channel is Channel.TEXT and phones and not any(one.texts for one in phones):
        first: Phone = msgspec.structs.replace(phones[0], texts=True)
        changes["phones"] = (first, *phones[1:])
    return changes


def _allow_again(uow: UnitOfWork, client_id: UUID, channel: Channel) -> None:
    def decide(states: States, ctx: Context) -> Decided:
        details = states[IDENTITY].details
        changes = with_channel(details, channel) if details is not None else {}
        if details is None or not changes:
            return []
        after = msgspec.structs.replace(details, **changes)
        check_details(after, ctx)
        return [ClientDetailsChanged(details=after, changed=tuple(changes))]

    uow.execute(client_id, (IDENTITY,), decide)


_SAYS_HOW: Final = frozenset({"contact_by", "contact_also_by", "phones"})
_NUMBERS: Final = frozenset({"phone", "phones"})
_ALLOWED: Final = {ContactBy.MAIL: Channel.MAIL, ContactBy.TEXT: Channel.TEXT}


def refuse_what_was_stopped(client_id: UUID, event: ClientDetailsChanged) -> None:
    """The staff may not allow a channel that the client has ended: their own word alone does.
    Raises Rejected 409 with the notice to lift."""
    details, changed = event.details, frozenset(event.changed)
    if changed & _NUMBERS or (changed & _SAYS_HOW and details.may_contact(ContactBy.TEXT)):
        _refuse_stopped_number(client_id, details)
    if not changed & _SAYS_HOW:
        return
    texts = any(one.texts for one in details.phones)
    for wish, channel in _ALLOWED.items():
        allowed = details.may_contact(wish) or (channel is Channel.TEXT and texts)
        notice = standing_stop(client_id, channel) if allowed else None
        if notice is not None:
            raise Rejected(
                "client_said_stop",
                f"The client wants no more messages by {channel}. Where they say that they want"
                " them again, lift their notice with their word as the reason.",
                extra={"contact_notice_id": str(notice.pk)},
            )


def refuse_stopped_numbers(client_id: UUID, event: ClientRegistered) -> None:
    """Nobody is registered with texts to a number that said stop while it was nobody's: none would
    ever go. Raises Rejected 409 with that reply."""
    _refuse_stopped_number(client_id, event.details)


def _refuse_stopped_number(client_id: UUID, details: ClientDetails) -> None:
    for phone in details.known_phones():
        stopped = number_stop(client_id, phone.number) if phone.texts else None
        if stopped is not None:
            raise Rejected(
                "number_said_stop",
                f"A text from {phone.number} said stop before it was known whose it is. Have the"
                " client on record without texts to it and assign that reply to them; where they"
                " want texts, lift their notice with their word.",
                extra={"unknown_reply_id": str(stopped.pk)},
            )
