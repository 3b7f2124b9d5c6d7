"""Commands on what is measured: readings, goals, posture, circumferences. One function each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.swelling_risk import affected_arms
from clients.identity.person import client_details
from clients.permissions.selectors import operation_regions
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import local_day
from practice.core.reasons import Audience, Reason, invalid
from practice.people_and_places.models.practitioners import Practitioner
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import zone_of
from sessions.calendar.selectors.zones import resolve_occurred_at
from sessions.measurements.domain.commands import (
    RecordCircumferences,
    RecordPosture,
    RecordReading,
    SetGoal,
)
from sessions.measurements.domain.comparison import ComparableReading, asks_second_reading
from sessions.measurements.domain.confirmation import doubts_of_day, settled
from sessions.measurements.domain.decisions import (
    GoalFacts,
    decide_circumferences,
    decide_circumferences_in_error,
    decide_goal,
    decide_posture,
    decide_posture_in_error,
    decide_reading,
    decide_reading_in_error,
)
from sessions.measurements.domain.events import (
    CircumferencesMeasured,
    GoalSet,
    PostureRecorded,
    ReadingRecorded,
)
from sessions.measurements.domain.follow_up import (
    loss_prompt,
    losses_in,
    prompts_on_errors,
    slices_followed,
    warnings_from,
)
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.measurements.selectors.settings import measurement_settings, norms, swelling_settings

SLICES = (MEASUREMENTS, CALENDAR)
Observed = TypeVar("Observed", RecordReading, RecordPosture, RecordCircumferences)


def rater_or_caller(uow: UnitOfWork, given: UUID | None, field: str = "rater_id") -> UUID:
    """Who measured: the practitioner who asks, unless another is named. Raises Rejected 400."""
    who = given or uow.actor.practitioner_id
    if who is None:
        raise invalid(field, "Say which practitioner measured.")
    if given is not None and not Practitioner.objects.filter(pk=given).exists():
        raise invalid(field, "There is no such practitioner.")
    return who


def check_session(states: States, session_id: UUID | None) -> None:
    """Refuse a session that is not the client's (400)."""
    if session_id is not None and session_id not in states[CALENDAR].sessions:
        raise invalid("session_id", "The client has no session with that id.")


def _observed(
    uow: UnitOfWork, client_id: UUID, command: Mapping[str, Any], observer: str
) -> dict[str, Any]:
    """What was sent of an observation, with the instant and who made it."""
    occurred_at = resolve_occurred_at(
        uow, client_id, command.get("occurred_at"), command.get("session_id")
    )
    who = rater_or_caller(uow, command.get(observer), observer)
    return {**command, "occurred_at": occurred_at, observer: who}


def _with_day_confirmed(uow: UnitOfWork, client_id: UUID, observed: Observed) -> Observed:
    """With the confirmed warning of a time before the client's birth or years back; 400 where
    nobody confirmed it."""
    if observed.occurred_at is None:
        return observed
    zone = zone_of(None)
    doubts = doubts_of_day(
        local_day(observed.occurred_at, zone),
        local_day(uow.context.now, zone),
        client_details(uow, client_id).birth_date,
        measurement_settings(),
    )
    confirmed = settled(doubts, uow.actor.id, confirmed=observed.confirmed_occurred_at)
    return replace(observed, confirmed=confirmed)


def reading_record(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Record a reading (RecordReading as it was typed); what it answers comes with it.

    Warnings ask for a second reading after a drop, and whether to bring a stretch back whose
    range was lost outside a re-check; those who follow up add theirs.
    """
    reading = RecordReading(**_observed(uow, client_id, command, "rater_id"))
    uow.lock(client_id)
    reading = _with_day_confirmed(uow, client_id, reading)
    settings = measurement_settings()

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, reading.session_id)
        return decide_reading(reading, settings, ctx)

    # What follows up is folded from the same read of the log.
    outcome = uow.execute(client_id, (*SLICES, *slices_followed()), decide, if_match=if_match)
    outcome.entity_id = outcome.first(ReadingRecorded).reading_id
    states = uow.states(client_id, (MEASUREMENTS, *slices_followed()))
    readings = states[MEASUREMENTS]
    new = readings.reading(outcome.entity_id)
    if new is not None:
        outcome.warnings += _second_reading(new, readings.taken_before(new), settings)
    outcome.warnings += warnings_from(outcome.events)
    outcome.warnings += [
        loss_prompt(one)
        for one in losses_in(states, settings)
        if one.reading_id == outcome.entity_id
    ]
    return outcome


def _second_reading(
    new: ComparableReading, before: Sequence[ComparableReading], settings: MeasurementSettings
) -> list[Reason]:
    zone = zone_of(None)
    if not asks_second_reading(new, before, settings, day=lambda at: local_day(at, zone)):
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
    uow: UnitOfWork, client_id: UUID, decide: Callable[[MeasurementsState], Decided]
) -> Outcome:
    """Warns of every discharge that rests on what is in error, by this correction or before."""
    outcome = uow.execute(
        client_id, (MEASUREMENTS,), lambda states, _: decide(states[MEASUREMENTS])
    )
    outcome.warnings += prompts_on_errors(uow.states(client_id, (MEASUREMENTS, *slices_followed())))
    return outcome


def reading_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, reading_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Take a reading out of the clinical view, with the ``reason``; the history keeps it."""
    reason = command["reason"]
    return _correct(uow, client_id, lambda s: decide_reading_in_error(s, reading_id, reason))


def goal_set(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Set a goal (SetGoal as it was typed); it replaces the one for the same thing."""
    occurred_at = resolve_occurred_at(uow, client_id, command.get("occurred_at"))
    goal = SetGoal(**{**command, "occurred_at": occurred_at})
    uow.lock(client_id)
    person = client_details(uow, client_id)
    settings, known, regions = measurement_settings(), norms(), operation_regions()

    def decide(states: States, ctx: Context) -> Decided:
        facts = GoalFacts(
            settings=settings,
            norms=known,
            age=person.age_on(ctx.now.date()),
            affected=affected_arms(client_facts(states), ctx.now.date(), regions),
        )
        return decide_goal(states[MEASUREMENTS], goal, facts, ctx)

    outcome = uow.execute(client_id, (MEASUREMENTS, *CLIENT_FACTS), decide, if_match=if_match)
    outcome.entity_id = outcome.first(GoalSet).goal_id
    return outcome


def posture_record(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Record a posture finding (RecordPosture as it was typed); what it answers comes with it."""
    posture = RecordPosture(**_observed(uow, client_id, command, "observer_id"))
    uow.lock(client_id)
    posture = _with_day_confirmed(uow, client_id, posture)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, posture.session_id)
        return decide_posture(posture, ctx)

    outcome = uow.execute(client_id, (*SLICES, *slices_followed()), decide, if_match=if_match)
    outcome.entity_id = outcome.first(PostureRecorded).finding_id
    outcome.warnings += warnings_from(outcome.events)
    return outcome


def posture_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, finding_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Take a posture finding out of the clinical view, with the ``reason``."""
    reason = command["reason"]
    return _correct(uow, client_id, lambda s: decide_posture_in_error(s, finding_id, reason))


def circumferences_record(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Record the circumferences of both arms (RecordCircumferences as they were typed)."""
    circumferences = RecordCircumferences(**_observed(uow, client_id, command, "rater_id"))
    uow.lock(client_id)
    circumferences = _with_day_confirmed(uow, client_id, circumferences)
    settings = swelling_settings()

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, circumferences.session_id)
        return decide_circumferences(states[MEASUREMENTS], circumferences, settings, ctx)

    outcome = uow.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.entity_id = outcome.first(CircumferencesMeasured).circumferences_id
    return outcome


def circumferences_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, circumferences_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Take circumferences out of the clinical view, with the ``reason``."""
    return _correct(
        uow,
        client_id,
        lambda s: decide_circumferences_in_error(s, circumferences_id, command["reason"]),
    )
