"""Commands of the calendar: book, enter late, move, call off. One function each."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from uuid import UUID

from clients.domain.facts import FACTS
from clients.domain.permissions.preference import exception_used
from clients.selectors import client_get
from practice.domain.decisions import Context, Decided, States
from practice.domain.localtime import TypedTime
from practice.domain.reasons import Reason, check_version, invalid
from practice.domain.terms import Credential, Mode
from practice.eventlog.runner import Outcome, Work
from practice.models import Facility, Practitioner
from practice.selectors import settings_group
from sessions.domain.calendar.booking import (
    decide_book,
    decide_book_late,
    decide_cancel,
    decide_move,
    late_notice,
)
from sessions.domain.calendar.commands import (
    Book,
    BookLate,
    CalendarSettings,
    Cancel,
    Happening,
    Move,
    PlaceFacts,
    PreferenceFinding,
    Slot,
)
from sessions.domain.calendar.events import Answers, Purpose, SessionCancelled
from sessions.domain.calendar.state import CALENDAR
from sessions.models import Session
from sessions.selectors.calendar import session_get
from sessions.services.judging import Judge, Place
from sessions.services.places import (
    clashes,
    facility_closed,
    guarded,
    lock_place,
    not_known_here,
    outside_hours,
)
from sessions.services.timeline import Timeline

SLICES = (CALENDAR,)


@dataclass(frozen=True, kw_only=True)
class When:
    """A time as it is asked for: a start, and either an end or a length in minutes."""

    starts_at: TypedTime
    ends_at: TypedTime | None = None
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
    when: When
    wish: Mode = Mode.HANDS_ON
    purpose: Purpose = Purpose.TREATMENT
    happened: Happening | None = None
    answers: Answers = field(default_factory=Answers)


@dataclass(frozen=True, kw_only=True)
class MoveRequest:
    """What is asked for when a session is moved; None keeps what is booked."""

    session_id: UUID
    reason: str
    practitioner_id: UUID | None = None
    facility_id: UUID | None = None
    room_id: UUID | None = None
    keep_room: bool = True
    when: When | None = None
    wish: Mode | None = None


@dataclass(frozen=True)
class Done:
    """What a command of the calendar did, for the answer."""

    session_id: UUID
    client_id: UUID
    outcome: Outcome
    warnings: list[Reason] = field(default_factory=list)


def calendar_settings() -> CalendarSettings:
    """The practice's settings of the calendar."""
    return settings_group("calendar", CalendarSettings)[0]


def session_book(work: Work, request: BookRequest) -> Done:
    """Book a session, or enter one that took place (``happened``).

    Refuses with 409 a taken time or a practitioner against the client's preference;
    a hands-on wish that is not permitted becomes self-directed, with the reasons.
    """
    work.lock(request.client_id)
    client_get(work.actor, request.client_id)
    session_id = work.context.new_id()
    practitioner, facility, _ = lock_place(
        work,
        practitioner_id=request.practitioner_id,
        facility_id=request.facility_id,
        room_id=request.room_id,
    )
    slot = _slot(practitioner, facility, request.room_id, request.when)
    facts = _facts(work, request.client_id, session_id, slot, request)

    def decide(states: States, ctx: Context) -> Decided:
        if request.happened is not None:
            late = BookLate(
                happened=request.happened,
                wish=request.wish,
                purpose=request.purpose,
                answers=request.answers,
            )
            return decide_book_late(states[CALENDAR], late, facts, ctx)
        command = Book(wish=request.wish, purpose=request.purpose)
        return decide_book(states[CALENDAR], command, facts, ctx)

    with guarded(slot, session_id):
        outcome = work.execute(request.client_id, SLICES, decide)
    return Done(session_id, request.client_id, outcome, list(facts.warnings))


def session_move(work: Work, request: MoveRequest, *, if_match: int | None = None) -> Done:
    """Move a session or plan it anew; it keeps its identity, and its length unless it is given."""
    row = locked_session(work, request.session_id, if_match)
    now = work.states(row.client_id, SLICES)[CALENDAR].session(row.id)
    room_id = now.room_id if request.keep_room else request.room_id
    practitioner, facility, _ = lock_place(
        work,
        practitioner_id=request.practitioner_id or now.practitioner_id,
        facility_id=request.facility_id or now.facility_id,
        room_id=room_id,
        leaving=[one for one in (now.practitioner_id, now.room_id) if one],
    )
    when = request.when
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
    facts = _facts(work, row.client_id, row.id, slot, None)
    command = Move(session_id=row.id, reason=request.reason, wish=request.wish)
    with guarded(slot, row.id):
        outcome = work.execute(
            row.client_id,
            SLICES,
            lambda states, ctx: decide_move(states[CALENDAR], command, facts, ctx),
        )
    return Done(row.id, row.client_id, outcome, list(facts.warnings))


def session_cancel(work: Work, command: Cancel, *, if_match: int | None = None) -> Done:
    """Call a session off; a short notice is answered with the practice's late rule."""
    row = locked_session(work, command.session_id, if_match)
    outcome = work.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_cancel(states[CALENDAR], command, ctx),
    )
    event = outcome.first(SessionCancelled)
    warnings = late_notice(event.notice_minutes, calendar_settings()) if event else []
    return Done(row.id, row.client_id, outcome, warnings)


def locked_session(work: Work, session_id: UUID, if_match: int | None = None) -> Session:
    """A session's row, read under its client's lock.

    Raises Rejected: 404 for one that the caller may not see, 412 where it has changed
    since the caller read it.
    """
    work.lock(session_get(work.actor, session_id).client_id)
    row = session_get(work.actor, session_id)
    check_version(
        row.version,
        if_match,
        "The session has changed: its version is {version} now. Read it again.",
    )
    return row


def _slot(practitioner: Practitioner, facility: Facility, room_id: UUID | None, when: When) -> Slot:
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
    work: Work, client_id: UUID, session_id: UUID, slot: Slot, request: BookRequest | None
) -> PlaceFacts:
    """What is found about the slot under the locks: clashes, judgement, preference, warnings."""
    client = work.states(client_id, (FACTS,))[FACTS]
    if request is not None and request.happened is not None:
        client = Timeline(client_id).facts(slot.ends_at)
    place = Place(slot.practitioner_id, slot.facility_id, slot.local_start.date())
    judge = Judge(client_id, client)
    if request is not None and request.happened is Happening.CAME:
        case = judge.case(place, session_id=session_id, answers=request.answers)
        verdicts, provisional = case.judged(), None
    else:
        case = judge.case(place, session_id=session_id)
        verdicts, provisional = case.planned(), True
    facts = PlaceFacts(
        session_id=session_id,
        slot=slot,
        judgement=case.kept(verdicts, provisional=provisional),
        clashes=clashes(client_id, slot, session_id),
        preference=PreferenceFinding(
            against=verdicts.refusals, exception_id=exception_used(case.facts)
        ),
        settings=calendar_settings(),
    )
    warnings = [
        *outside_hours(slot),
        *facility_closed(slot),
        *not_known_here(client_id, slot),
        *verdicts.warnings,
        *work.ask("session.booking", client_id, facts),
    ]
    return replace(facts, warnings=tuple(warnings))
