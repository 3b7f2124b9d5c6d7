"""What is found about a slot under the locks: clashes, permissions, preference, warnings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.permissions.domain.preference import used_exception_id
from practice.clock import clock
from practice.core.decisions import Slice, States
from practice.core.reasons import Reason
from practice.people_and_places.selectors.kept import rooms_in_use
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.domain.standing_signs import standing_signs, with_raised
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.booking.domain.client_side import client_warnings
from sessions.booking.domain.commands import (
    BOOKING,
    Attendance,
    BookingFacts,
    BookingQuestion,
    PreferenceFinding,
    Slot,
)
from sessions.booking.domain.far_ahead import far_ahead_warnings
from sessions.booking.domain.hours import closed_reasons, hours_warnings
from sessions.booking.domain.neighbours import buffer_warnings, travel_warnings
from sessions.booking.domain.part_hands_on import part_warnings
from sessions.booking.domain.rooms import no_room_left
from sessions.booking.selectors.client_side import client_side, sessions_in_state
from sessions.booking.services.conflicts import (
    find_conflicts,
    named_conflicts,
    near_sessions,
    room_uses,
)
from sessions.calendar.domain.class_places import over_full
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.calendar.domain.held_time import NO_BUFFERS, Buffers, buffers_of
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.calendar.selectors.classes import places_of_class
from sessions.calendar.selectors.facilities import calendar_settings, facility_calendar
from sessions.held_slots.domain.held_slot import HeldSlot, held_reasons
from sessions.held_slots.selectors import held_slots_at
from sessions.kinds.domain.kind import kind_warnings
from sessions.kinds.selectors import kinds
from sessions.travel.selectors import travel_times

GetStates = Callable[[Sequence[Slice[Any, Any]]], States]


class LateAnswers(NamedTuple):
    """Whether the client came to a session that is entered late, and what they answered."""

    attendance: Attendance
    answers: SubmittedArrivalAnswers


def assessor_of(client_id: UUID, states: GetStates) -> SessionAssessor:
    """Who evaluates the sessions of a client by what is on record now; one for all of a unit."""
    return SessionAssessor(client_id, client_facts(states(CLIENT_FACTS)))


def booking_facts(
    assessor: SessionAssessor,
    session_id: UUID,
    slot: Slot,
    states: GetStates,
    late: LateAnswers | None = None,
) -> BookingFacts:
    """What a booking of the slot is decided by; ``states`` gives the client's.

    One that is entered late is decided by what was so at its end, in the place of the
    assessor's. Warnings that are no part of the decision come with ``with_warnings``.
    """
    client_id = assessor.client_id
    place = AssessmentPlace(
        slot.practitioner_id,
        slot.facility_id,
        slot.local_start.date(),
        to_be_held=late is None,
    )
    if late is not None:
        assessor = SessionAssessor(client_id, FactsTimeline(client_id).facts(slot.ends_at))
    said: dict[str, Any] = {}
    if late is not None and late.attendance is Attendance.ATTENDED:
        raised, words = assessor.red_flags(late.answers), assessor.words(late.answers)
        said = {"red_flags": tuple(sorted(raised)), "words": words}
        sessions = states((CALENDAR,))[CALENDAR].sessions.values()
        before = standing_signs(sessions, place.day, at=slot.ends_at)
        signs = with_raised(before, raised, late.answers.swelling or (), words)
        case = assessor.case(place, session_id=session_id, answers=late.answers, signs=signs)
        session_permissions, provisional = case.evaluated(), None
    else:
        case = assessor.case(place, session_id=session_id)
        session_permissions, provisional = case.planned(), True
    calendar = facility_calendar(slot.facility_id, slot.zone, (slot.practitioner_id,))
    places = places_of_class(slot.class_id, session_id)
    said["warnings"] = (
        *session_permissions.warnings,
        *part_warnings(session_permissions),
        *(over_full(places) if late is not None else ()),
    )
    return BookingFacts(
        session_id=session_id,
        slot=slot,
        permissions=case.snapshot(session_permissions, provisional=provisional),
        conflicts=find_conflicts(client_id, slot, session_id, with_classes=late is None),
        class_places=places,
        closed=closed_reasons(slot, calendar),
        held=held_reasons(_held_slots(slot), slot.starts_at, slot.ends_at, slot.zone, clock.now()),
        preference=PreferenceFinding(
            against=session_permissions.refusals, exception_id=used_exception_id(case.facts)
        ),
        settings=calendar_settings(),
        evaluating_credentials=assessor.settings.evaluating_credentials,
        **said,
    )


def with_warnings(uow: UnitOfWork, client_id: UUID, facts: BookingFacts) -> BookingFacts:
    """The facts with all that a booking is warned of: hours, the client's side, and what higher
    layers say."""
    slot = facts.slot
    calendar = uow.states(client_id, (CALENDAR,))[CALENDAR]
    client = client_side(client_id, sessions_in_state(calendar))
    hours = facility_calendar(slot.facility_id, slot.zone, (slot.practitioner_id,))
    warnings: list[Reason] = [
        *hours_warnings(slot, hours),
        *client_warnings(slot, client, facts.settings, uow.now, facts.session_id),
        *far_ahead_warnings(slot, uow.now, facts.settings.far_ahead_months),
        *_kind_warnings(facts),
        *(room_warnings(slot, facts.session_id) if slot.class_id is None else ()),
        *near_warnings(slot, facts.session_id, buffers_of(facts.kind)),
        *facts.warnings,
        *uow.advise(BOOKING, client_id, BookingQuestion(slot=slot, session_id=facts.session_id)),
    ]
    conflicts = named_conflicts(uow.actor, facts.conflicts)
    return replace(facts, warnings=tuple(warnings), conflicts=conflicts)


def room_warnings(slot: Slot, session_id: UUID | None) -> list[Reason]:
    """A named room is free, or booking refuses it; a place in a class is in the class's room.
    Without a session: a class's own time."""
    rooms = {one.pk for one in rooms_in_use(slot.facility_id)}
    if slot.room_id is not None or not rooms:
        return []
    return no_room_left(slot, rooms, room_uses(slot, session_id))


def near_warnings(
    slot: Slot, session_id: UUID | None, buffers: Buffers = NO_BUFFERS
) -> list[Reason]:
    """Whose buffers a slot eats, and from which or to which session or class the way is too long;
    without a session: a class's own time."""
    near = near_sessions(slot, session_id)
    return [
        *buffer_warnings(slot, buffers, near),
        *travel_warnings(slot, near, travel_times()),
    ]


def closed_to_treatment(
    slot: Slot, calendar: FacilityCalendar, now: datetime
) -> tuple[Reason, ...]:
    """Why no treatment takes place in a slot, whoever the client: closed, absent, or held for
    evaluations."""
    held = held_reasons(_held_slots(slot), slot.starts_at, slot.ends_at, slot.zone, now)
    return (*closed_reasons(slot, calendar), *held)


def _held_slots(slot: Slot) -> list[HeldSlot]:
    slots = held_slots_at(slot.facility_id)
    return [one for one in slots if one.practitioner_id == slot.practitioner_id]


def _kind_warnings(facts: BookingFacts) -> list[Reason]:
    kind = None if facts.kind is None else kinds().get(facts.kind.kind_id)
    if kind is None:
        return []
    slot = facts.slot
    rooms = rooms_in_use(slot.facility_id)
    private = any(one.pk == slot.room_id and one.is_private for one in rooms)
    return kind_warnings(kind, private=private, mode=facts.permissions.mode)
