"""A made-up client's programme, told in a few lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from practice.core.decisions import Context, States
from practice.core.events import Event
from practice.core.terms import (
    BodyPosition,
    Instrument,
    MotionType,
    Movement,
    Region,
    Side,
    Technique,
)
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.catalogue.domain.content import StretchContent
from sessions.catalogue.domain.terms import Dose
from sessions.measurements.domain.events import ReadingRecorded
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.stretches.domain.commands import DischargeStretch, PrescribeStretch
from sessions.stretches.domain.decisions import decide_discharge, decide_prescription, decide_start
from sessions.stretches.domain.goal_progress import goal_standings
from sessions.stretches.domain.prescribing import CatalogueFacts
from sessions.stretches.domain.reactors import answer_rechecks
from sessions.stretches.domain.recheck_answers import NewSigns, RecheckAnswerFacts
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.state import STRETCHES, StretchesState
from tests import dsl
from tests.sessions.shipped import DOSES, MEASUREMENT, RECHECKS

ZONE = "America/Los_Angeles"
FACILITY = UUID(int=77)
ANNA, BEN = UUID(int=51), UUID(int=52)
NO_SIGNS = NewSigns()
EVERY_DAY = FacilityCalendar(zone=ZONE, usual_weekdays=frozenset(range(1, 8)))
WEEKDAYS = FacilityCalendar(zone=ZONE, usual_weekdays=frozenset(range(1, 6)))
ABDUCTION, FLEXION = Movement.SHOULDER_ABDUCTION, Movement.SHOULDER_FLEXION


def content(**changes) -> StretchContent:
    values = {
        "name": "Abduction pattern",
        "region": Region.SHOULDER,
        "position": "status",
        "how": "the arm out to the side and up",
        "movements": (ABDUCTION,),
        "cues": ("exhale",),
        "doses": (
            Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=2),
            Dose(technique=Technique.PASSIVE, repetitions=3, hold_seconds=20),
        ),
        "cautions": ("stop at pinching",),
        "cannot_get_into_position": "lying",
        "helps": "raising the arm",
    }
    return StretchContent(**{**values, **changes})


def at(day: date, hour: int = 18) -> datetime:
    """An hour of a day in UTC: 18 is late morning in the facility's zone."""
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


class Story:
    """Events of one client in order of entry, each at the time it happened."""

    def __init__(self, calendar: FacilityCalendar = EVERY_DAY, side: Side = Side.RIGHT) -> None:
        self.events: list[tuple] = []
        self.calendar = calendar
        self.side = side
        self.new_id = dsl.ids(5000)

    # what the folds make of it
    @property
    def programme(self) -> StretchesState:
        kept = [one for one in self.events if type(one[0]) in STRETCHES.handles]
        return dsl.Scenario(STRETCHES, tuple(kept)).state

    @property
    def motion(self) -> MeasurementsState:
        kept = [one for one in self.events if type(one[0]) in MEASUREMENTS.handles]
        return dsl.Scenario(MEASUREMENTS, tuple(kept)).state

    def context(self, now: datetime) -> Context:
        return Context(now=now, actor=dsl.PRACTITIONER, new_id=self.new_id)

    def retain(self, decided, now: datetime) -> list:
        dated = [
            (one.event, one.occurred_at) if hasattr(one, "occurred_at") else (one, now)
            for one in decided
        ]
        self.events += dated
        return [event for event, _ in dated]

    # what people do
    def prescribe(self, day: date, **changes) -> UUID:
        facts = CatalogueFacts(content(**changes.pop("content", {})), 1, DOSES)
        wanted = PrescribeStretch(stretch="abduction_pattern", side=self.side, **changes)
        now = at(day)
        made = self.retain(
            decide_prescription(self.programme, wanted, facts, self.context(now)), now
        )
        return made[0].prescription_id

    def start(self, key: UUID, day: date) -> None:
        now = at(day)
        self.retain(
            decide_start(
                self.programme, key, session_id=None, occurred_at=None, ctx=self.context(now)
            ),
            now,
        )

    def measure(
        self,
        day: date,
        degrees: int,
        *,
        movement: Movement = ABDUCTION,
        rater: UUID = ANNA,
        motion: MotionType = MotionType.ACTIVE,
        instrument: Instrument = Instrument.GONIOMETER,
        side: Side | None = None,
        hour: int = 18,
        pain: int | None = None,
        assisted: bool = False,
        signs: NewSigns = NO_SIGNS,
    ) -> list:
        """A reading, and what it does to the open re-checks."""
        when = at(day, hour)
        event = ReadingRecorded(
            reading_id=self.new_id(),
            movement=movement,
            side=side or self.side,
            motion=motion,
            degrees=degrees,
            position=BodyPosition.SITTING,
            instrument=instrument,
            rater_id=rater,
            pain=pain,
            assisted=assisted,
            new_pain=signs.new_pain,
            new_swelling=signs.new_swelling,
            explanation=signs.explanation,
        )
        return self.tell(event, when)

    def tell(self, event: Event, when: datetime) -> list:
        """Something measured, and what it does to the open re-checks."""
        self.events.append((event, when))
        return self.follow(event, when)

    def follow(self, event: Event, when: datetime) -> list:
        """What an event that was told already does to the open re-checks."""
        states = States({MEASUREMENTS.name: self.motion, STRETCHES.name: self.programme})
        rec = dsl.recorded(event, len(self.events), when)
        return self.retain(answer_rechecks(rec, states, self.facts(), self.context(when)), when)

    def facts(self) -> RecheckAnswerFacts:
        return RecheckAnswerFacts(
            MEASUREMENT, RECHECKS, lambda _, zone: replace(self.calendar, zone=zone), self.new_id
        )

    def discharge(
        self,
        key: UUID,
        day: date,
        *,
        now: datetime | None = None,
        reason: str = "",
        hour: int = 18,
    ):
        wanted = DischargeStretch(
            prescription_id=key,
            facility_id=FACILITY,
            zone=ZONE,
            reason=reason,
            occurred_at=at(day, hour),
        )
        ctx = self.context(now or at(day, hour))
        plan = RecheckPlan(RECHECKS, self.calendar, self.new_id)
        motion = self.motion
        goals = MEASUREMENT.default_goals
        made = self.retain(
            decide_discharge(
                self.programme,
                wanted,
                lambda p, when: goal_standings(
                    p, motion, lambda m, _: goals.get(m), MEASUREMENT, when
                ),
                plan,
                policy_revision=1,
                ctx=ctx,
            ),
            ctx.now,
        )
        return made[0]

    def discharged(self, day: date, degrees: int = 180, **prescribed) -> UUID:
        """Prescribed and started a month before, measured at goal that day, discharged."""
        key = self.prescribe(day - timedelta(days=30), **prescribed)
        self.start(key, day - timedelta(days=30))
        for movement in content(**prescribed.get("content", {})).movements:
            self.measure(day, degrees, movement=movement, hour=17)
        self.discharge(key, day)
        return key
