"""Commands of the waiting list. One function each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.localtime import EnteredTime, local_day
from practice.core.reasons import invalid
from practice.people_and_places.locks import PlaceLocks
from practice.people_and_places.selectors.facilities import facility_get
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.booking.domain.commands import BookSession
from sessions.booking.domain.decisions import decide_book
from sessions.booking.services.conflicts import place_of_slot
from sessions.booking.services.facts import assessor_of, booking_facts
from sessions.booking.services.freed import free_time_of
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.booking.services.sessions import SessionCommandResult, book_decided, write
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.sessions import session_get
from sessions.calendar.selectors.zones import current_zone
from sessions.waiting_list.domain import decisions, events
from sessions.waiting_list.domain.commands import AddToWaitingList, FreeTimeRequest
from sessions.waiting_list.domain.state import WAITING, WaitingEntryState
from sessions.waiting_list.selectors import waiting_get

SLICES = (WAITING,)


def waiting_add(uow: UnitOfWork, *, client_id: UUID, command: AddToWaitingList) -> Outcome:
    """Put a client on the waiting list."""
    uow.lock(client_id)
    for one in command.facility_ids:
        facility_get(uow.actor, one)
    today = local_day(uow.now, current_zone(uow, client_id))
    settings = calendar_settings()
    outcome = uow.execute(
        client_id,
        SLICES,
        lambda _states, ctx: decisions.decide_add(command, settings, today, ctx),
    )
    outcome.entity_id = outcome.first(events.WaitingAdded).waiting_id
    return outcome


def waiting_offer(uow: UnitOfWork, *, waiting_id: UUID, command: FreeTimeRequest) -> Outcome:
    """Offer a free time. Refused as booking it would be; nothing holds it for the client."""
    client_id = waiting_get(uow.actor, waiting_id).client_id
    asked = _named(uow, command)
    places = PlaceLocks([asked.practitioner_id], [asked.room_id])
    uow.lock(client_id, places=places)
    entry = _entry(uow, client_id, waiting_id)
    request = _request(client_id, entry, asked)
    place = place_of_slot(
        uow,
        places,
        practitioner_id=request.practitioner_id,
        facility_id=request.facility_id,
        room_id=request.room_id,
    )
    slot = place.slot(*request.when.span(place.facility.zone))
    states = partial(uow.states, client_id)
    facts = booking_facts(assessor_of(client_id, states), uow.context.new_id(), slot, states)
    book = BookSession(purpose=entry.wanted.purpose)
    decide_book(states((CALENDAR,))[CALENDAR], book, facts, uow.context)
    return _decided(uow, client_id, waiting_id, partial(_offered, slot=slot))


def _offered(entry: WaitingEntryState, ctx: Context, slot: Any) -> Decided:
    return decisions.decide_offer(entry, slot, ctx)


def waiting_accept(uow: UnitOfWork, *, waiting_id: UUID) -> SessionCommandResult:
    """The client takes the time that is offered: it is booked as any session is, or refused."""
    client_id = waiting_get(uow.actor, waiting_id).client_id
    uow.lock(client_id)
    entry = _entry(uow, client_id, waiting_id)
    offer = decisions.open_offer(entry)
    places = PlaceLocks([offer.practitioner_id], [offer.room_id])
    uow.lock(places=places)
    place = place_of_slot(
        uow,
        places,
        practitioner_id=offer.practitioner_id,
        facility_id=offer.facility_id,
        room_id=offer.room_id,
    )
    request = BookRequest(
        client_id=client_id,
        practitioner_id=offer.practitioner_id,
        facility_id=offer.facility_id,
        room_id=offer.room_id,
        when=RequestedTime(
            starts_at=EnteredTime(instant=offer.starts_at),
            ends_at=EnteredTime(instant=offer.ends_at),
        ),
        purpose=entry.wanted.purpose,
    )
    done = write(uow, book_decided(uow, place, request))
    _decided(
        uow,
        client_id,
        waiting_id,
        lambda entry, _ctx: decisions.decide_accept(entry, done.session_id),
    )
    return done


def waiting_decline(uow: UnitOfWork, *, waiting_id: UUID, command: Mapping[str, Any]) -> Outcome:
    """The client does not take the time that is offered and waits on; ``reason`` if any."""
    client_id = waiting_get(uow.actor, waiting_id).client_id
    reason = command.get("reason", "")
    return _decided(
        uow, client_id, waiting_id, lambda entry, _ctx: decisions.decide_decline(entry, reason)
    )


def waiting_withdraw(uow: UnitOfWork, *, waiting_id: UUID, command: Mapping[str, Any]) -> Outcome:
    """The client waits no more; ``reason``: why."""
    client_id = waiting_get(uow.actor, waiting_id).client_id
    reason = command["reason"]
    return _decided(
        uow, client_id, waiting_id, lambda entry, _ctx: decisions.decide_withdraw(entry, reason)
    )


def _decided(
    uow: UnitOfWork,
    client_id: UUID,
    waiting_id: UUID,
    decide: Callable[[WaitingEntryState, Context], Decided],
) -> Outcome:
    outcome = uow.execute(
        client_id, SLICES, lambda states, ctx: decide(states[WAITING].entry(waiting_id), ctx)
    )
    outcome.entity_id = waiting_id
    return outcome


def _entry(uow: UnitOfWork, client_id: UUID, waiting_id: UUID) -> WaitingEntryState:
    return uow.states(client_id, SLICES)[WAITING].entry(waiting_id)


def _named(uow: UnitOfWork, command: FreeTimeRequest) -> FreeTimeRequest:
    """The time itself, where it was named by the session that had it."""
    if command.free_session_id is None:
        return command
    free = free_time_of(session_get(uow.actor, command.free_session_id))
    return FreeTimeRequest(
        practitioner_id=free.practitioner_id,
        facility_id=free.facility_id,
        room_id=free.room_id,
        starts_at=EnteredTime(instant=free.starts_at, field="free_session_id"),
        minutes=free.minutes,
    )


def _request(client_id: UUID, entry: WaitingEntryState, asked: FreeTimeRequest) -> BookRequest:
    """A booking of the time in the length that is waited for."""
    if asked.practitioner_id is None or asked.facility_id is None or asked.starts_at is None:
        detail = "Name the session whose time it is, or practitioner, facility and start."
        raise invalid("free_session_id", detail)
    return BookRequest(
        client_id=client_id,
        practitioner_id=asked.practitioner_id,
        facility_id=asked.facility_id,
        room_id=asked.room_id,
        when=RequestedTime(starts_at=asked.starts_at, minutes=entry.wanted.minutes),
        purpose=entry.wanted.purpose,
    )
