"""Commands on what is measured: readings, goals, posture, girths. One function each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from practice.domain.decisions import Context, Decided, States
from practice.domain.localtime import local_day
from practice.domain.reasons import Audience, Reason, invalid
from practice.eventlog.runner import Outcome, Work
from practice.models import Practitioner
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.hour.history import affected_sides
from sessions.domain.motion.commands import FindPosture, MeasureGirths, RecordReading, SetGoal
from sessions.domain.motion.comparing import Reading, asks_second_reading
from sessions.domain.motion.deciding import (
    GoalFacts,
    decide_girths,
    decide_girths_in_error,
    decide_goal,
    decide_posture,
    decide_posture_in_error,
    decide_reading,
    decide_reading_in_error,
)
from sessions.domain.motion.events import ReadingRecorded
from sessions.domain.motion.followup import warnings_from
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import MOTION, MotionState
from sessions.selectors.facilities import zone_of
from sessions.selectors.measurement import measurement_settings, norms, swelling_settings
from sessions.services.clientfacts import operation_regions, person_of

SLICES = (MOTION, CALENDAR)


def rater(work: Work, given: UUID | None, field: str = "rater_id") -> UUID:
    """Who measured: the practitioner who asks, unless another is named. Raises Rejected 400."""
    who = given or work.actor.practitioner_id
    if who is None:
        raise invalid(field, "Say which practitioner measured.")
    if given is not None and not Practitioner.objects.filter(pk=given).exists():
        raise invalid(field, "There is no such practitioner.")
    return who


def check_session(states: States, session_id: UUID | None) -> None:
    """Refuse a session that is not the client's (400)."""
    if session_id is not None and session_id not in states[CALENDAR].sessions:
        raise invalid("session_id", "The client has no session with that id.")


def reading_record(
    work: Work, *, client_id: UUID, reading: RecordReading, if_match: int | None = None
) -> Outcome:
    """Record a reading; what it answers comes with it.

    Warnings ask for a second reading after a drop; those who follow up add theirs.
    """
    work.lock(client_id)
    settings = measurement_settings()

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, reading.session_id)
        return decide_reading(reading, settings, ctx)

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    readings = work.states(client_id, (MOTION,))[MOTION]
    new = readings.reading(outcome.first(ReadingRecorded).reading_id)
    if new is not None:
        outcome.warnings += _second_reading(new, readings.readings, settings)
    outcome.warnings += warnings_from(outcome.events)
    return outcome


def _second_reading(
    new: Reading, readings: Sequence[Reading], settings: MeasurementSettings
) -> list[Reason]:
    zone = zone_of(None)
    if not asks_second_reading(new, readings, settings, day=lambda at: local_day(at, zone)):
        return []
    return [
        Reason(
            code="second_reading",
            text=f"At least {settings.second_reading_drop}° less than last time: "
            "measure a second time today, the same rater.",
            source="practice setting measurement.second_reading_drop; practice policy",
            audience=Audience.CLINICAL,
        )
    ]


def _correct(
    work: Work,
    client_id: UUID,
    decide: Callable[[MotionState], Decided],
    if_match: int | None,
) -> Outcome:
    return work.execute(
        client_id, (MOTION,), lambda states, _: decide(states[MOTION]), if_match=if_match
    )


def reading_enter_in_error(
    work: Work, *, client_id: UUID, reading_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """Take a reading out of the clinical view; the history keeps it."""
    return _correct(
        work, client_id, lambda s: decide_reading_in_error(s, reading_id, reason), if_match
    )


def goal_set(work: Work, *, client_id: UUID, goal: SetGoal, if_match: int | None = None) -> Outcome:
    """Set a goal; it replaces the one for the same thing."""
    work.lock(client_id)
    person = person_of(work, client_id)
    settings, known, regions = measurement_settings(), norms(), operation_regions()

    def decide(states: States, ctx: Context) -> Decided:
        facts = GoalFacts(
            settings=settings,
            norms=known,
            age=person.age_on(ctx.now.date()),
            affected=affected_sides(client_facts(states), regions),
        )
        return decide_goal(states[MOTION], goal, facts, ctx)

    return work.execute(client_id, (MOTION, *CLIENT_FACTS), decide, if_match=if_match)


def posture_record(
    work: Work, *, client_id: UUID, posture: FindPosture, if_match: int | None = None
) -> Outcome:
    """Record a posture finding; what it answers comes with it."""
    work.lock(client_id)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, posture.session_id)
        return decide_posture(posture, ctx)

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += warnings_from(outcome.events)
    return outcome


def posture_enter_in_error(
    work: Work, *, client_id: UUID, finding_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """Take a posture finding out of the clinical view; the history keeps it."""
    return _correct(
        work, client_id, lambda s: decide_posture_in_error(s, finding_id, reason), if_match
    )


def girths_record(
    work: Work, *, client_id: UUID, girths: MeasureGirths, if_match: int | None = None
) -> Outcome:
    """Record the girths of both arms."""
    work.lock(client_id)
    settings = swelling_settings()

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, girths.session_id)
        return decide_girths(girths, settings, ctx)

    return work.execute(client_id, (CALENDAR,), decide, if_match=if_match)


def girths_enter_in_error(
    work: Work, *, client_id: UUID, girths_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """Take girths out of the clinical view; the history keeps them."""
    return _correct(
        work, client_id, lambda s: decide_girths_in_error(s, girths_id, reason), if_match
    )
