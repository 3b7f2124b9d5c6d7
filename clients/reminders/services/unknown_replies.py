"""Replies from numbers that fit no client: kept until a person settles each."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from clients.identity.selectors import client_get
from clients.reminders.domain.replies import says_wrong_number
from clients.reminders.domain.rules import Channel
from clients.reminders.models import ContactNotice, UnknownReply
from clients.reminders.sealing import pack
from clients.reminders.selectors import notice_key
from clients.reminders.services.notices import end_channel, keep_notice
from practice.core.reasons import Rejected, existing, invalid
from practice.work.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True, kw_only=True)
class SettleReply:
    """Whose reply it is, or why it is nobody's; both: why one that was discarded is theirs."""

    client_id: UUID | None = None
    reason: str = ""


def reply_settle(uow: UnitOfWork, *, unknown_reply_id: UUID, command: SettleReply) -> UnknownReply:
    """Assign a reply to a client, or discard it with a reason.

    Assigned it is the client's notice, as if it had come from them: STOP ends their texts. The
    same again stays as it was. A STOP that was settled may be assigned to one more client: it
    holds for the number, and their own word can decide only then. One that was discarded by slip
    is assigned with the ``reason`` of the correction beside the client. Raises Rejected: 400 for
    neither, and for both where nothing was discarded, 404, 409 for one that was settled otherwise.
    """
    reason = command.reason.strip()
    if command.client_id is None and not reason:
        raise invalid("client_id", "Give the client whose reply it is, or a reason to discard it.")
    row = existing(
        UnknownReply.objects.select_for_update().filter(pk=unknown_reply_id).first(), "reply"
    )
    if command.client_id is not None and reason and not row.reason:
        raise invalid(
            "reason", "Nobody discarded it: give the client alone, or a reason to discard it."
        )
    corrects = command.client_id is not None and bool(reason) and row.number != ""
    if row.settled_at is not None and not (corrects or _stops_one_more(row, command)):
        return _settled_before(row, command)
    by = str(row.settled_by or "")
    row.settled_at, row.settled_by = uow.now, uow.actor.id
    if command.client_id is not None:
        _assign(uow, row, command.client_id, correction=reason, discarded_by=by)
    else:
        row.settled = UnknownReply.Settled.DISCARDED
        row.sealed = pack(None, number=row.number, words=row.words, reason=reason)
    row.save()
    return row


def _assign(
    uow: UnitOfWork, row: UnknownReply, client_id: UUID, *, correction: str, discarded_by: str
) -> None:
    client_get(uow.actor, client_id)
    uow.lock(client_id)
    kind = ContactNotice.Kind.REPLIED
    if row.stops:
        end_channel(uow, client_id=client_id, channel=Channel.TEXT)
        kind = ContactNotice.Kind.STOPPED
    elif says_wrong_number(row.words):
        kind = ContactNotice.Kind.WRONG_NUMBER
    keep_notice(
        key=notice_key(row.key, client_id),
        client_id=client_id,
        kind=kind,
        channel=Channel.TEXT,
        address=row.number,
        words=row.words,
    )
    # From here on the words are the client's, under their key. Who had discarded it and why stays.
    # A STOP may be given to one more client for another reason: the first one stays said.
    said = {"correction": _with_one_more(row.correction, correction)}
    if row.reason:
        said |= {"reason": row.reason, "discarded_by": row.discarded_by or discarded_by}
    row.settled = UnknownReply.Settled.ASSIGNED
    row.sealed = pack(None, number="", words="", **said)


def _with_one_more(reasons: str, reason: str) -> str:
    """The reasons of a correction, a paragraph each, with one more that they do not have."""
    if f"\n\n{reason}\n\n" in f"\n\n{reasons}\n\n":
        return reasons
    return "\n\n".join(filter(None, (reasons, reason)))


def _stops_one_more(row: UnknownReply, command: SettleReply) -> bool:
    """Whether it is the STOP of a number that is another client's too."""
    if not row.stops or command.client_id is None:
        return False
    key = notice_key(row.key, command.client_id)
    return not ContactNotice.objects.filter(key=key).exists()


def _settled_before(row: UnknownReply, command: SettleReply) -> UnknownReply:
    if row.settled == UnknownReply.Settled.DISCARDED:
        same = row.reason == command.reason.strip()
        stands = (
            f"It was discarded: {row.reason} If it is a client's, name them and the reason why it"
            " is theirs."
        )
    else:
        key = notice_key(row.key, command.client_id) if command.client_id else ""
        reason = command.reason.strip()
        alike = _with_one_more(row.correction, reason) == row.correction
        same = alike and ContactNotice.objects.filter(key=key).exists()
        stands = "It was assigned to a client."
        if row.correction and not alike:
            stands += f" The reason that was given stays: {row.correction}"
    if same:
        return row
    raise Rejected("already_settled", stands, extra={"settled": row.settled})
