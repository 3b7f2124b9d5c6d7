"""Commands of the waiting list. One function each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any, NamedTuple
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.localtime import EnteredTime, local_day
from practice.core.reasons import Reason, invalid
from practice.people_and_places.locks import PlaceLocks
from practice.people_and_places.selectors.facilities import facility_get
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.booking.domain.free_time import FreeTime
from sessions.booking.services.class_places import place_request
from sessions.booking.services.conflicts import place_of_slot
from sessions.booking.services.freed import free_time_of
from sessions.booking.services.places import SlotPlace
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.booking.services.sessions import SessionCommandResult, book_decided, write
from sessions.calendar.selectors.classes import class_get, class_row
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.sessions import session_get
from sessions.calendar.selectors.zones import current_zone
from sessions.kinds.selectors import kind_named
from sessions.waiting_list.domain import decisions, events
from sessions.waiting_list.domain.commands import AddToWaitingList, FreeTimeRequest
from sessions.waiting_list.domain.fitting import unsuited_warnings
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
    kind = None if command.kind_id is None else kind_named(command.kind_id)
    outcome = uow.execute(
        client_id,
        SLICES,
        lambda _states, ctx: decisions.decide_add(command, kind, settings, today, ctx),
    )
    outcome.entity_id = outcome.first(events.WaitingAdded).waiting_id
    return outcome


class OfferedTime(NamedTuple):
    """An offer that was made, and what a booking of it would be warned of."""

    outcome: Outcome
    warnings: list[Reason]


def waiting_offer(uow: UnitOfWork, *, waiting_id: UUID, command: FreeTimeRequest) -> OfferedTime:
    """Offer a free time. Refused as booking it would be; nothing holds it for the client."""
    row = waiting_get(uow.actor, waiting_id)
    client_id = row.client_id
    uow.lock(client_id)
    entry = _entry(uow, client_id, waiting_id)
    request = _request(uow, client_id, entry, command)
    decided = book_decided(uow, _locked_place(uow, request), request)
    slot, overruled = decided.facts.slot, request.overrule if decided.facts.closed else ""
    outcome = _decided(
        uow,
        client_id,
        waiting_id,
        lambda entry, ctx: decisions.decide_offer(entry, slot, ctx, overruled),
    )
    minutes = slot.length // timedelta(minutes=1)
    free = FreeTime(
        slot.practitioner_id, slot.facility_id, slot.room_id, slot.starts_at, minutes, slot.class_id
    )
    unsuited = unsuited_warnings(row, free, slot.zone)
    return OfferedTime(outcome, [*unsuited, *decided.facts.warnings])


def _locked_place(uow: UnitOfWork, request: BookRequest) -> SlotPlace:
    places = PlaceLocks([request.practitioner_id], [request.room_id])
    uow.lock(places=places)
    return place_of_slot(
        uow,
        places,
        practitioner_id=request.practitioner_id,
        facility_id=request.facility_id,
        room_id=request.room_id,
    )


def waiting_accept(uow: UnitOfWork, *, waiting_id: UUID) -> SessionCommandResult:
    """The client takes the time that is offered: it is booked as any session is, or refused."""
    client_id = waiting_get(uow.actor, waiting_id).client_id
    uow.lock(client_id)
    entry = _entry(uow, client_id, waiting_id)
    offer = decisions.open_offer(entry)
    request = _as_offered(client_id, entry, offer)
    place = _locked_place(uow, request)
    if offer.class_id is not None:
        row = class_row(offer.class_id)
        decisions.check_class_as_offered(offer, row.starts_at, row.practitioner_id)
        request = replace(place_request(row, client_id), overrule=offer.overruled or row.overruled)
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
    return replace(
        command,
        class_id=free.class_id,
        practitioner_id=free.practitioner_id,
        facility_id=free.facility_id,
        room_id=free.room_id,
        starts_at=EnteredTime(instant=free.starts_at, field="free_session_id"),
        minutes=free.minutes,
    )


def _request(
    uow: UnitOfWork, client_id: UUID, entry: WaitingEntryState, command: FreeTimeRequest
) -> BookRequest:
    """A booking of the time in the length that is waited for; of a place as the class is."""
    asked = _named(uow, command)
    if asked.class_id is not None:
        request = place_request(class_get(uow.actor, asked.class_id), client_id)
        return replace(request, overrule=command.overrule or request.overrule)
    if asked.practitioner_id is None or asked.facility_id is None or asked.starts_at is None:
        detail = "Name the session whose time it is, or practitioner, facility and start."
        raise invalid("free_session_id", detail)
    when = RequestedTime(starts_at=asked.starts_at, minutes=entry.wanted.minutes)
    return BookRequest(
        client_id=client_id,
        practitioner_id=asked.practitioner_id,
        facility_id=asked.facility_id,
        room_id=asked.room_id,
        when=when,
        **_of_entry(entry),
        overrule=command.overrule,
    )


def _as_offered(
    client_id: UUID, entry: WaitingEntryState, offer: events.WaitingOffered
) -> BookRequest:
    return BookRequest(
        client_id=client_id,
        practitioner_id=offer.practitioner_id,
        facility_id=offer.facility_id,
        room_id=offer.room_id,
        when=RequestedTime(
            starts_at=EnteredTime(instant=offer.starts_at),
            ends_at=EnteredTime(instant=offer.ends_at),
        ),
        **_of_entry(entry),
        overrule=offer.overruled,
    )


def _of_entry(entry: WaitingEntryState) -> dict[str, Any]:
    """As what it is booked."""
    wanted = entry.wanted
    return {
        "purpose": wanted.purpose,
        "kind_id": None if wanted.kind is None else wanted.kind.kind_id,
    }
