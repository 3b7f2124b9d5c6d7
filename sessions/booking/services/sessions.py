"""Commands of the calendar: book, enter late, move, cancel. One function each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.selectors import require_visible_client
from clients.permissions.domain.preference import used_exception_id
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import EnteredTime
from practice.core.reasons import Reason, check_version, invalid
from practice.core.terms import Credential, Mode
from practice.people_and_places.locks import PlaceLocks
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.kept import Place
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.domain.standing_signs import standing_signs, with_raised
from sessions.assessment.selectors.assessor import AssessmentPlace, SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.booking.domain.commands import (
    BOOKING,
    Attendance,
    BookingFacts,
    BookingQuestion,
    BookSession,
    CancelSession,
    EnterLateSession,
    MoveSession,
    PreferenceFinding,
    Slot,
)
from sessions.booking.domain.decisions import (
    decide_book,
    decide_book_late,
    decide_cancel,
    decide_move,
    late_cancellation_warnings,
)
from sessions.booking.domain.hours import hours_warnings
from sessions.booking.domain.part_hands_on import part_warnings
from sessions.booking.selectors.extensions import kept_with_session
from sessions.booking.selectors.known_here import not_known_here
from sessions.booking.services.conflicts import (
    conflicts_refused,
    find_conflicts,
    place_of_slot,
)
from sessions.calendar.domain.events import SessionCancelled
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SessionPurpose, SubmittedArrivalAnswers
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings, facility_calendar
from sessions.calendar.selectors.sessions import session_get

SLICES = (CALENDAR,)


@dataclass(frozen=True, kw_only=True)
class RequestedTime:
    """A time as it is asked for: a start, and either an end or a length in minutes."""

    starts_at: EnteredTime
    ends_at: EnteredTime | None = None
    minutes: int | None = None

    def span(self, zone: str) -> tuple[datetime, datetime]:
        """Start and end as instants. Raises Rejected 400 for a time that cannot be."""
        starts = self.starts_at.at(zone)
        if (self.ends_at is None) == (self.minutes is None):
            raise invalid("minutes", "Give either minutes or ends_at.")
        if self.ends_at is not None:
            return starts, self.ends_at.at(zone)
        return starts, starts + timedelta(minutes=self.minutes or 0)


@dataclass(frozen=True, kw_only=True)
class BookRequest:
    """What is asked for when a session is booked, or entered after it took place."""

    client_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    when: RequestedTime
    requested_mode: Mode | None = None
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    attendance: Attendance | None = None
    answers: SubmittedArrivalAnswers = field(default_factory=SubmittedArrivalAnswers)


@dataclass(frozen=True, kw_only=True)
class MoveRequest:
    """What is asked for when a session is moved; None keeps what is booked."""

    reason: str
    practitioner_id: UUID | None = None
    facility_id: UUID | None = None
    room_id: UUID | None = None
    keep_room: bool = True
    when: RequestedTime | None = None
    requested_mode: Mode | None = None


@dataclass(frozen=True)
class SessionCommandResult:
    """What a command of the calendar did, for the answer."""

    session_id: UUID
    client_id: UUID
    outcome: Outcome
    warnings: list[Reason] = field(default_factory=list)


def session_book(uow: UnitOfWork, *, command: BookRequest) -> SessionCommandResult:
    """Book a session, or enter one that took place (``attendance``).

    Refuses with 409 a taken time, a practitioner against the client's preference, or hands-on
    work that is asked for and not permitted; where no mode is asked for, it is as permitted.
    """
    places = PlaceLocks([command.practitioner_id], [command.room_id])
    uow.lock(command.client_id, places=places)
    require_visible_client(uow.actor, command.client_id)
    session_id = uow.context.new_id()
    practitioner, facility = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id,
        facility_id=command.facility_id,
        room_id=command.room_id,
    )
    slot = _slot(practitioner, facility, command.room_id, command.when)
    facts = _facts(uow, command.client_id, session_id, slot, command)

    def decide(states: States, ctx: Context) -> Decided:
        if command.attendance is not None:
            late = EnterLateSession(
                attendance=command.attendance,
                requested_mode=command.requested_mode,
                purpose=command.purpose,
                answers=command.answers,
            )
            return decide_book_late(states[CALENDAR], late, facts, ctx)
        book = BookSession(requested_mode=command.requested_mode, purpose=command.purpose)
        return decide_book(states[CALENDAR], book, facts, ctx)

    with conflicts_refused(slot, session_id):
        outcome = uow.execute(command.client_id, SLICES, decide)
    return SessionCommandResult(session_id, command.client_id, outcome, list(facts.warnings))


def session_move(
    uow: UnitOfWork, *, session_id: UUID, command: MoveRequest, if_match: int | None = None
) -> SessionCommandResult:
    """Move a session or plan it anew; it keeps its identity, and its length unless it is given."""
    row = locked_session(uow, session_id, if_match)
    now = uow.states(row.client_id, SLICES)[CALENDAR].session(row.id)
    room_id = now.room_id if command.keep_room else command.room_id
    practitioner_id = command.practitioner_id or now.practitioner_id
    # Those that are left are locked too: their time is given back in this unit.
    places = PlaceLocks([practitioner_id, now.practitioner_id], [room_id, now.room_id])
    uow.lock(places=places)
    practitioner, facility = place_of_slot(
        uow,
        places,
        practitioner_id=practitioner_id,
        facility_id=command.facility_id or now.facility_id,
        room_id=room_id,
    )
    when = command.when
    if when is not None and when.ends_at is None and when.minutes is None:
        when = replace(when, minutes=now.length // timedelta(minutes=1))
    slot = _slot(practitioner, facility, room_id, when) if when else None
    if slot is None:
        slot = Slot(
            practitioner_id=practitioner.pk,
            credential=Credential(practitioner.credential),
            facility_id=facility.pk,
            room_id=room_id,
            starts_at=now.starts_at,
            ends_at=now.ends_at,
            zone=facility.zone,
        )
    facts = _facts(uow, row.client_id, row.id, slot, None)
    move = MoveSession(
        session_id=row.id, reason=command.reason, requested_mode=command.requested_mode
    )
    with conflicts_refused(slot, row.id):
        outcome = uow.execute(
            row.client_id,
            SLICES,
            lambda states, ctx: decide_move(states[CALENDAR], move, facts, ctx),
        )
    warnings = [*facts.warnings, *kept_with_session(row.id)]
    return SessionCommandResult(row.id, row.client_id, outcome, warnings)


def session_cancel(
    uow: UnitOfWork,
    *,
    session_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> SessionCommandResult:
    """Cancel a session (``by``, ``reason``); a short notice is answered with the practice's
    late rule."""
    row = locked_session(uow, session_id, if_match)
    cancel = CancelSession(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_cancel(states[CALENDAR], cancel, ctx),
    )
    event = outcome.first(SessionCancelled)
    warnings = (
        late_cancellation_warnings(event.notice_minutes, calendar_settings()) if event else []
    )
    warnings += kept_with_session(row.id)
    return SessionCommandResult(row.id, row.client_id, outcome, warnings)


def locked_session(uow: UnitOfWork, session_id: UUID, if_match: int | None = None) -> Session:
    """A session's row, read under its client's lock.

    Raises Rejected: 404 for one that the caller may not see, 412 where it has changed
    since the caller read it.
    """
    uow.lock(session_get(uow.actor, session_id).client_id)
    row = session_get(uow.actor, session_id)
    check_version(
        row.version,
        if_match,
        "The session has changed: its version is {version} now. Read it again.",
    )
    return row


def _slot(
    practitioner: Practitioner, facility: Place, room_id: UUID | None, when: RequestedTime
) -> Slot:
    starts_at, ends_at = when.span(facility.zone)
    return Slot(
        practitioner_id=practitioner.pk,
        credential=Credential(practitioner.credential),
        facility_id=facility.pk,
        room_id=room_id,
        starts_at=starts_at,
        ends_at=ends_at,
        zone=facility.zone,
    )


def _facts(
    uow: UnitOfWork, client_id: UUID, session_id: UUID, slot: Slot, request: BookRequest | None
) -> BookingFacts:
    """What is found about the slot under the locks: clashes, permissions, preference, warnings."""
    client = client_facts(uow.states(client_id, CLIENT_FACTS))
    if request is not None and request.attendance is not None:
        client = FactsTimeline(client_id).facts(slot.ends_at)
    place = AssessmentPlace(slot.practitioner_id, slot.facility_id, slot.local_start.date())
    assessor = SessionAssessor(client_id, client)
    said: dict[str, Any] = {}
    if request is not None and request.attendance is Attendance.ATTENDED:
        raised, words = assessor.red_flags(request.answers), assessor.words(request.answers)
        said = {"red_flags": tuple(sorted(raised)), "words": words}
        calendar = uow.states(client_id, SLICES)[CALENDAR]
        before = standing_signs(calendar.sessions.values(), place.day, at=slot.ends_at)
        signs = with_raised(before, raised, request.answers.swelling or (), words)
        case = assessor.case(place, session_id=session_id, answers=request.answers, signs=signs)
        session_permissions, provisional = case.evaluated(), None
    else:
        case = assessor.case(place, session_id=session_id)
        session_permissions, provisional = case.planned(), True
    facts = BookingFacts(
        session_id=session_id,
        slot=slot,
        permissions=case.snapshot(session_permissions, provisional=provisional),
        conflicts=find_conflicts(client_id, slot, session_id),
        preference=PreferenceFinding(
            against=session_permissions.refusals, exception_id=used_exception_id(case.facts)
        ),
        settings=calendar_settings(),
        evaluating_credentials=assessor.settings.evaluating_credentials,
        **said,
    )
    hours = facility_calendar(slot.facility_id, slot.zone, (slot.practitioner_id,))
    warnings = [
        *hours_warnings(slot, hours),
        *not_known_here(client_id, slot),
        *session_permissions.warnings,
        *part_warnings(session_permissions),
        *uow.advise(BOOKING, client_id, BookingQuestion(slot=slot, session_id=session_id)),
    ]
    return replace(facts, warnings=tuple(warnings))
