"""Waiting for a time, offers and their answers: pure decisions."""

from __future__ import annotations

from datetime import date, datetime, time
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from sessions.booking.domain.commands import Slot
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import SessionKind, check_bookable, check_length, purpose_of
from sessions.waiting_list.domain import events
from sessions.waiting_list.domain.commands import AddToWaitingList
from sessions.waiting_list.domain.state import WaitingEntryState, WaitingStatus


def decide_add(
    command: AddToWaitingList,
    kind: SessionKind | None,
    settings: CalendarSettings,
    today: date,
    ctx: Context,
) -> Decided:
    """Put a client on the list. Refuses with 400 what no time can ever suit, and what does not fit
    the kind as booking would."""
    minutes, purpose = _length_and_purpose(command, kind)
    least, most = settings.shortest_session_minutes, settings.longest_session_minutes
    if not least <= minutes <= most:
        raise invalid("minutes", f"A session lasts {least} to {most} minutes here.")
    earliest, latest = minute_of(command.earliest), minute_of(command.latest)
    end = 24 * 60 if latest is None else latest
    if end - (earliest or 0) < minutes:
        raise invalid("latest", "No session of that length lies between the two times.")
    first, last = command.first_day, command.last_day
    if last is not None and last < today:
        raise invalid("last_day", "That day is past.")
    if first is not None and last is not None and last < first:
        raise invalid("last_day", "The last day lies before the first.")
    wanted = events.WantedTimes(
        minutes=minutes,
        purpose=purpose,
        facility_ids=tuple(sorted(set(command.facility_ids))),
        weekdays=tuple(sorted(set(command.weekdays))),
        earliest=earliest,
        latest=latest,
        first_day=first,
        last_day=last,
        note=command.note.strip(),
        kind=None if kind is None else kind.booked(),
    )
    return [events.WaitingAdded(waiting_id=ctx.new_id(), wanted=wanted)]


def _length_and_purpose(
    command: AddToWaitingList, kind: SessionKind | None
) -> tuple[int, SessionPurpose]:
    if kind is not None:
        check_bookable(kind)
        minutes = command.minutes or kind.default_minutes
        check_length(kind, minutes)
        return minutes, purpose_of(kind, command.purpose)
    if command.minutes is None:
        raise invalid("minutes", "Say how long it is to be, or of which kind.")
    return command.minutes, command.purpose or SessionPurpose.TREATMENT


def minute_of(at: time | None) -> int | None:
    """Minutes after midnight; None where nothing was said."""
    return None if at is None else at.hour * 60 + at.minute


def decide_offer(
    entry: WaitingEntryState, slot: Slot, ctx: Context, overruled: str = ""
) -> Decided:
    """Offer a time that the client may lawfully have; that was found before."""
    check_waits(entry)
    return [
        events.WaitingOffered(
            waiting_id=entry.id,
            offer_id=ctx.new_id(),
            practitioner_id=slot.practitioner_id,
            facility_id=slot.facility_id,
            room_id=slot.room_id,
            starts_at=slot.starts_at,
            ends_at=slot.ends_at,
            zone=slot.zone,
            class_id=slot.class_id,
            overruled=overruled,
        )
    ]


def check_class_as_offered(
    offer: events.WaitingOffered, starts_at: datetime, practitioner_id: UUID
) -> None:
    """Raises Rejected 409 where the class is not any more when and with whom it was offered."""
    if (starts_at, practitioner_id) != (offer.starts_at, offer.practitioner_id):
        raise Rejected(
            "class_moved_since",
            "The class was moved since its place was offered: offer it as it is now.",
        )


def decide_accept(entry: WaitingEntryState, session_id: UUID) -> Decided:
    """The time that is offered was booked."""
    offer = open_offer(entry)
    return [
        events.WaitingAccepted(waiting_id=entry.id, offer_id=offer.offer_id, session_id=session_id)
    ]


def decide_decline(entry: WaitingEntryState, reason: str) -> Decided:
    """The client does not take the time; they wait on."""
    offer = open_offer(entry)
    return [
        events.WaitingDeclined(waiting_id=entry.id, offer_id=offer.offer_id, reason=reason.strip())
    ]


def decide_withdraw(entry: WaitingEntryState, reason: str) -> Decided:
    """The client waits no more."""
    check_waits(entry)
    return [events.WaitingWithdrawn(waiting_id=entry.id, reason=reason.strip())]


def check_waits(entry: WaitingEntryState) -> None:
    """Raises Rejected 409 where the client waits no more."""
    if entry.status is not WaitingStatus.WAITING:
        raise Rejected(
            "not_waiting",
            f"The client waits for this no more: it is {entry.status.value}.",
            extra={"waiting_status": entry.status.value},
        )


def open_offer(entry: WaitingEntryState) -> events.WaitingOffered:
    """The offer that waits for an answer. Raises Rejected 409 where none does."""
    check_waits(entry)
    if entry.offer is None:
        raise Rejected("no_open_offer", "No offer waits for an answer: offer a time first.")
    return entry.offer
