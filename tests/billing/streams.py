"""A client's stream in memory: folds billing's slice and lets its reactor answer signatures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any
from uuid import UUID, uuid5

from billing.authorizations.domain.events import (
    AuthorizationRecorded,
    AuthorizationTerms,
    AuthorizedLine,
    VisitCalculated,
)
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.payers.domain.rules import PayerRules, VisitDefinition
from billing.visits.domain.reactors import BillingFacts, react_to_note
from billing.visits.domain.shared_time import SessionSpan
from practice.core.decisions import Actor, Context, States
from practice.core.events import DatedEvent, Event, RecordedEvent, registry
from practice.core.terms import Credential, Role, SessionPart
from sessions.notes.domain.events import (
    AddendumAdded,
    NoteCount,
    NotePartMinutes,
    NoteSigned,
    SessionTimes,
    TimeSource,
)

SPACE = UUID("6f1d3c1e-5a52-4d55-9a35-3f6f2f0f6b11")
PT = Credential.PHYSICAL_THERAPIST
OT = Credential.OCCUPATIONAL_THERAPIST
TRAINER = Credential.PERSONAL_TRAINER
STRETCHING, CARDIO, STRENGTH, TALK = (
    SessionPart.STRETCHING,
    SessionPart.CARDIO,
    SessionPart.STRENGTH,
    SessionPart.MEASURING_AND_TALK,
)
DAY = date(2026, 3, 2)


def named(name: str) -> UUID:
    """The same id for the same name, so that failures read well."""
    return uuid5(SPACE, name)


def payer_rules(**changes: Any) -> PayerRules:
    """A payer that pays therapists; stretching is code S, cardio C, strength T; talk has none."""
    parts = {STRETCHING: "S", CARDIO: "C", STRENGTH: "T"}
    standard: dict[str, Any] = {
        "payer_id": named("payer"),
        "name": "Payer",
        "revision": 1,
        "visit_definition": VisitDefinition.CALENDAR_DAY,
        "paid_credentials": frozenset({PT, OT}),
        "codes": {(part, who): code for part, code in parts.items() for who in (PT, OT, TRAINER)},
    }
    return PayerRules(**{**standard, **changes})


def terms(**changes: Any) -> AuthorizationTerms:
    """Ten visits and twenty units from March to May 2026, any code, any practitioner."""
    standard: dict[str, Any] = {
        "number": "A-1",
        "member_id": "M-1",
        "starts_on": date(2026, 3, 1),
        "ends_on": date(2026, 5, 31),
        "visits": 10,
        "units": 20,
    }
    return AuthorizationTerms(**{**standard, **changes})


def lines(**units: int | None) -> tuple[AuthorizedLine, ...]:
    return tuple(AuthorizedLine(code=code, units=given) for code, given in units.items())


def at(day: date, clock: str = "15:00") -> datetime:
    """A time of a day."""
    hour, minute = clock.split(":")
    return datetime(day.year, day.month, day.day, int(hour), int(minute), tzinfo=UTC)


def someone_else(starts: str, ends: str, day: date = DAY, name: str = "theirs") -> SessionSpan:
    """A session of the same practitioner with another client."""
    return SessionSpan(named(name), at(day, starts), at(day, ends), same_client=False)


class Stream:
    """One client, from the events appended so far."""

    def __init__(self, *payers: PayerRules) -> None:
        self.payers = {one.payer_id: one for one in payers or (payer_rules(),)}
        self.events: list[RecordedEvent] = []
        self.clock = datetime(2026, 3, 1, 12, tzinfo=UTC)
        self._ids = count()
        self.ends: dict[date, datetime] = {}
        self.actor = Actor(id=named("actor"), role=Role.PRACTITIONER)

    @property
    def context(self) -> Context:
        return Context(self.clock, self.actor, lambda: named(f"new {next(self._ids)}"))

    @property
    def authorization_balance(self) -> AuthorizationBalance:
        builder = AUTHORIZATION_BALANCE.initial()
        for one in self.events:
            AUTHORIZATION_BALANCE.apply(builder, one)
        return AUTHORIZATION_BALANCE.freeze(builder)

    def add(self, *decided: Event | DatedEvent) -> list[RecordedEvent]:
        """Append what was decided, each a minute after the one before."""
        made = []
        for one in decided:
            happened = one if isinstance(one, DatedEvent) else DatedEvent(one, self.clock)
            self.clock += timedelta(minutes=1)
            made.append(
                RecordedEvent(
                    position=len(self.events) + 1,
                    stream=named("client"),
                    version=len(self.events) + 1,
                    type=registry.by_class[type(happened.event)].name,
                    occurred_at=happened.occurred_at,
                    recorded_at=self.clock,
                    actor=self.actor.id,
                    request_id="test",
                    data=happened.event,
                )
            )
            self.events.append(made[-1])
        return made

    def authorize(self, name: str = "authorization", payer: str = "payer", **changes: Any) -> UUID:
        self.add(
            AuthorizationRecorded(
                authorization_id=named(name), payer_id=named(payer), terms=terms(**changes)
            )
        )
        return named(name)

    def react(
        self,
        event: Event,
        elsewhere: tuple[SessionSpan, ...] = (),
        standing: frozenset[UUID] = frozenset(),
        class_id: UUID | None = None,
    ) -> list[VisitCalculated]:
        (recorded,) = self.add(event)
        facts = BillingFacts(self.payers, elsewhere, standing, class_id)
        used_units = react_to_note(
            recorded,
            States({"authorization_balance": self.authorization_balance}),
            facts,
            self.context,
        )
        self.add(*used_units)
        return [one for one in used_units if isinstance(one, VisitCalculated)]

    def sign(
        self,
        minutes: dict[SessionPart, int],
        *,
        note: str = "note",
        day: date = DAY,
        credential: Credential = PT,
        by: str = "practitioner",
        starts: str | None = None,
        attended: int | None = None,
        elsewhere: tuple[SessionSpan, ...] = (),
        class_id: UUID | None = None,
    ) -> VisitCalculated:
        """Sign a note; how the day was calculated. It ``starts`` (e.g. ``"15:30"``) when
        the day's last one ended, if not told otherwise, and lasts an hour or as its parts."""
        begins = self.ends.get(day, at(day)) if starts is None else at(day, starts)
        length = max(60, sum(minutes.values())) if attended is None else attended
        self.ends[day] = max(self.ends.get(day, begins), begins + timedelta(minutes=length))
        self.react(
            NoteSigned(
                note_id=named(note),
                session_id=named(f"session of {note}"),
                practitioner_id=named(by),
                credential=credential,
                facility_id=named("facility"),
                started_at=begins,
                ended_at=begins + timedelta(minutes=length),
                booked_minutes=60,
                zone="America/New_York",
                local_date=day,
                subjective="",
                objective="",
                assessment="",
                plan="",
                minutes=tuple(NotePartMinutes(part=p, minutes=m) for p, m in minutes.items()),
                not_counted_minutes=0,
                attended_minutes=length,
            ),
            elsewhere,
            class_id=class_id,
        )
        return self.visit_of(note)

    def correct(self, note: str, minutes: dict[SessionPart, int]) -> list[VisitCalculated]:
        return self.react(
            AddendumAdded(
                addendum_id=named("addendum"),
                note_id=named(note),
                session_id=named(f"session of {note}"),
                practitioner_id=named("practitioner"),
                text="Minutes corrected.",
                corrected_minutes=tuple(
                    NotePartMinutes(part=p, minutes=m) for p, m in minutes.items()
                ),
            )
        )

    def correct_times(
        self,
        note: str,
        starts: str,
        ends: str,
        elsewhere: tuple[SessionSpan, ...] = (),
        standing: frozenset[UUID] = frozenset(),
    ) -> list[VisitCalculated]:
        """An addendum that corrects when a session took place."""
        times = SessionTimes(
            started_at=at(DAY, starts),
            started_from=TimeSource.PRACTITIONER,
            ended_at=at(DAY, ends),
            ended_from=TimeSource.PRACTITIONER,
        )
        addendum = AddendumAdded(
            addendum_id=named("addendum"),
            note_id=named(note),
            session_id=named(f"session of {note}"),
            practitioner_id=named("practitioner"),
            text="Times corrected.",
            after=NoteCount(minutes=(), not_counted_minutes=0, times=times),
        )
        return self.react(addendum, elsewhere, standing)

    def visit_of(self, note: str) -> VisitCalculated:
        authorization_balance = self.authorization_balance
        return authorization_balance.visits[authorization_balance.by_note[named(note)]].last

    def used(self, name: str = "authorization") -> tuple[int, int, int, int]:
        """Visits, units, reserved units and minutes used of an authorization."""
        one = self.authorization_balance.used.get(named(name))
        return (one.visits, one.units, one.reserved, one.minutes) if one else (0, 0, 0, 0)


def covered(used_units: Sequence[VisitCalculated]) -> list[str]:
    return [one.covered.value for one in used_units]
