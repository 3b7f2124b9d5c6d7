"""Questions on the stretches: where each stretch stands, and the call list."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from practice.clock import clock
from practice.core.reasons import Reason, existing
from practice.core.terms import Movement, Side
from practice.work import loading
from sessions.measurements.domain.deficits import goal_lookup
from sessions.measurements.domain.follow_up import Discharge
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.selectors.settings import measurement_settings, norms
from sessions.stretches.domain.follow_up import error_prompt
from sessions.stretches.domain.goal_progress import (
    GoalStandings,
    goal_standings,
    proposes_discharge,
    review_prompt,
)
from sessions.stretches.domain.session_in_error import start_prompt
from sessions.stretches.domain.state import STRETCHES
from sessions.stretches.models import HomeExercise, Prescription


@dataclass(frozen=True)
class GoalProgress:
    """What the record says of one stretch now. ``short_of_goal`` and ``missing`` are sentences."""

    discharge_proposed: bool
    short_of_goal: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    prompts: list[Reason] = field(default_factory=list)


def goal_progress_of(client_id: UUID) -> dict[UUID, GoalProgress]:
    """Where every stretch of a client stands against its goals, by prescription."""
    states = loading.load_states(client_id, (MEASUREMENTS, STRETCHES))
    settings, now = measurement_settings(), clock.now()
    goal_of = goal_lookup(states[MEASUREMENTS], settings, norms())
    result: dict[UUID, GoalProgress] = {}
    for key, one in states[STRETCHES].prescriptions.items():
        found: GoalStandings = goal_standings(one, states[MEASUREMENTS], goal_of, settings, now)
        prompts = (
            review_prompt(one, found, settings, now),
            start_prompt(one),
            error_prompt(one, states[MEASUREMENTS]),
        )
        result[key] = GoalProgress(
            proposes_discharge(one, found),
            found.short_of_goal,
            found.missing,
            [prompt for prompt in prompts if prompt],
        )
    return result


def prescriptions_of(client_id: UUID) -> QuerySet[Prescription]:
    """The stretches of a client."""
    return Prescription.objects.filter(client_id=client_id)


def discharges_of_client(client_id: UUID) -> list[Discharge]:
    """Every discharge of a client's stretches, those that came back since too."""
    return [
        Discharge(
            prescription_id=row.pk,
            occurred_at=row.discharged_at,
            on=row.discharged_on,
            movements=tuple(map(Movement, row.movements)),
            side=Side(row.side),
            readings=tuple(UUID(one["reading_id"]) for one in row.references),
            until=_discharged_until(row),
        )
        for row in prescriptions_of(client_id)
        if row.discharged_at is not None and row.discharged_on is not None
    ]


def _discharged_until(row: Prescription) -> datetime | None:
    """When the last discharge ended: the stretch came back, or was ended as it was discharged."""
    if row.active_since and row.discharged_at and row.active_since > row.discharged_at:
        return row.active_since
    return row.ended_at


def home_exercises_of(client_id: UUID) -> QuerySet[HomeExercise]:
    """The home exercises of a client, discontinued ones too."""
    return HomeExercise.objects.filter(client_id=client_id)


def home_exercise_get(client_id: UUID, home_exercise_id: UUID) -> HomeExercise:
    """One home exercise of a client. Raises Rejected 404."""
    return existing(
        home_exercises_of(client_id).filter(pk=home_exercise_id).first(), "home exercise"
    )


def prescription_get(prescription_id: UUID) -> Prescription:
    """One prescription. Raises Rejected 404."""
    return existing(Prescription.objects.filter(pk=prescription_id).first(), "prescribed stretch")
