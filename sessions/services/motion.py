"""Commands on what is measured: readings, goals, posture, girths. One function each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from uuid import UUID

from clients.domain.facts import FACTS
from practice.domain.decisions import Context, Decided, States
from practice.domain.events import Event, Happened
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
from sessions.domain.motion.events import PostureFound, ReadingRecorded
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import MOTION, Finding, MotionState
from sessions.domain.programme.answering import (
    AnswerFacts,
    Signs,
    answer,
    touched_by_finding,
    touched_by_reading,
)
from sessions.domain.programme.events import RecheckLost
from sessions.domain.programme.state import PROGRAMME
from sessions.selectors.facilities import opening_of, zone_of
from sessions.selectors.measurement import measurement_settings, norms, swelling_settings
from sessions.selectors.programmesettings import recheck_settings
from sessions.services.clientfacts import operation_regions, person_of

SLICES = (MOTION, PROGRAMME, CALENDAR)


def rater(work: Work, given: UUID | None, field: str = "rater_id") -> UUID:
    """Who measured: the practitioner who asks, unless another is named. Raises Rejected 400."""
    who = given or work.actor.practitioner_id
    if who is None:
        raise invalid(field, "Say which practitioner measured.")
    if given is not None and not Practitioner.objects.filter(pk=given).exists():
        raise invalid(field, "There is no such practitioner.")
    return who


def answer_facts(new_id: Callable[[], UUID]) -> AnswerFacts:
    """What answering a re-check needs, read after the lock."""
    policy, _ = recheck_settings()
    return AnswerFacts(
        measurement=measurement_settings(),
        policy=policy,
        opening=opening_of,
        new_id=new_id,
    )


def check_session(states: States, session_id: UUID | None) -> None:
    """Refuse a session that is not the client's (400)."""
    if session_id is not None and session_id not in states[CALENDAR].sessions:
        raise invalid("session_id", "The client has no session with that id.")


def reading_record(
    work: Work, *, client_id: UUID, reading: RecordReading, if_match: int | None = None
) -> Outcome:
    """Record a reading and answer the open re-checks that it does.

    Warnings ask for a second reading after a drop, and to refer an unexplained loss.
    """
    work.lock(client_id)
    settings = measurement_settings()
    facts = answer_facts(work.context.new_id)
    asked: list[Reason] = []

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, reading.session_id)
        event, at = decide_reading(reading, settings, ctx)
        new = _as_reading(event, at, work.version(client_id) + 1)
        readings = [*states[MOTION].readings, new]
        asked.extend(_second_reading(new, readings, settings))
        more = answer(
            states[PROGRAMME],
            lambda one: touched_by_reading(one, new),
            at,
            readings,
            states[MOTION].findings,
            facts,
            Signs(event.new_pain, event.new_swelling, event.explanation),
        )
        return [Happened(one, at) for one in (event, *more)]

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += [*asked, *_referrals(outcome)]
    return outcome


def _as_reading(event: ReadingRecorded, at: datetime, version: int) -> Reading:
    return Reading(
        reading_id=event.reading_id,
        at=at,
        version=version,
        session_id=event.session_id,
        movement=event.movement,
        side=event.side,
        motion=event.motion,
        degrees=event.degrees,
        position=event.position,
        instrument=event.instrument,
        rater_id=event.rater_id,
        pain=event.pain,
        assisted=event.assisted,
    )


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


def _referrals(outcome: Outcome) -> list[Reason]:
    lost = [one.data for one in outcome.events if isinstance(one.data, RecheckLost)]
    reasons = [
        Reason(
            code="range_lost",
            text="Range was lost beyond measurement error: the stretch is on the programme again.",
            source="practice policy",
            audience=Audience.CLINICAL,
        )
        for _ in lost[:1]
    ]
    if any(one.refer for one in lost):
        reasons.append(
            Reason(
                code="refer",
                text="Lost without explanation, with new pain or swelling: refer.",
                source="practice policy",
                audience=Audience.CLINICAL,
            )
        )
    return reasons


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
            affected=affected_sides(states[FACTS], regions),
        )
        return decide_goal(states[MOTION], goal, facts, ctx)

    return work.execute(client_id, (MOTION, FACTS), decide, if_match=if_match)


def posture_record(
    work: Work, *, client_id: UUID, posture: FindPosture, if_match: int | None = None
) -> Outcome:
    """Record a posture finding and answer the open re-checks that it does."""
    work.lock(client_id)
    facts = answer_facts(work.context.new_id)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, posture.session_id)
        (dated,) = decide_posture(posture, ctx)
        if not isinstance(dated, Happened) or not isinstance(dated.event, PostureFound):
            raise TypeError("a posture finding is dated")
        found = dated.event
        version = work.version(client_id) + 1
        findings = [*states[MOTION].findings, Finding(at=dated.at, version=version, found=found)]
        more: list[Event] = answer(
            states[PROGRAMME],
            lambda one: touched_by_finding(one, found),
            dated.at,
            states[MOTION].readings,
            findings,
            facts,
            Signs(),
        )
        return [dated, *(Happened(one, dated.at) for one in more)]

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += _referrals(outcome)
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
