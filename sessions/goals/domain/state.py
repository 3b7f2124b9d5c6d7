"""The treatment goals slice: the client's goals, and what was said of home exercise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import existing
from sessions.goals.domain import events
from sessions.goals.domain import goal as folding
from sessions.goals.domain.goal import HomeReport, TreatmentGoal


@dataclass
class _Builder:
    goals: dict[UUID, TreatmentGoal] = field(default_factory=dict)
    reports: dict[UUID, HomeReport] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TreatmentGoalsState:
    """The goals and the reports by id, in the order in which they were entered."""

    goals: Mapping[UUID, TreatmentGoal]
    reports: Mapping[UUID, HomeReport]

    def goal(self, goal_id: UUID) -> TreatmentGoal:
        """One goal; raises Rejected 404 where the client has none with that id."""
        return existing(self.goals.get(goal_id), "treatment goal")

    def report(self, report_id: UUID) -> HomeReport:
        """One report; raises Rejected 404 where the client has none with that id."""
        return existing(self.reports.get(report_id), "report")


def _freeze(builder: _Builder) -> TreatmentGoalsState:
    goals, reports = dict(builder.goals), dict(builder.reports)
    return TreatmentGoalsState(MappingProxyType(goals), MappingProxyType(reports))


TREATMENT_GOALS: Slice[_Builder, TreatmentGoalsState] = Slice(
    "treatment_goals", initial=_Builder, freeze=_freeze, watches=(events,)
)


@TREATMENT_GOALS.on(events.TreatmentGoalSet)
def agreed(builder: _Builder, event: events.TreatmentGoalSet, meta: RecordedEvent) -> None:
    builder.goals[event.treatment_goal_id] = folding.agreed(event, meta)


@TREATMENT_GOALS.on(events.TreatmentGoalReviewed)
def reviewed(builder: _Builder, event: events.TreatmentGoalReviewed, meta: RecordedEvent) -> None:
    if (one := builder.goals.get(event.treatment_goal_id)) is not None:
        builder.goals[one.id] = folding.reviewed(one, event, meta)


@TREATMENT_GOALS.on(events.TreatmentGoalReviewInError)
def review_in_error(
    builder: _Builder, event: events.TreatmentGoalReviewInError, meta: RecordedEvent
) -> None:
    if (one := builder.goals.get(event.treatment_goal_id)) is not None:
        builder.goals[one.id] = folding.review_in_error(one, event)


@TREATMENT_GOALS.on(events.TreatmentGoalEnteredInError)
def in_error(
    builder: _Builder, event: events.TreatmentGoalEnteredInError, meta: RecordedEvent
) -> None:
    if (one := builder.goals.get(event.treatment_goal_id)) is not None:
        builder.goals[one.id] = folding.in_error(one, event)


@TREATMENT_GOALS.on(events.HomeExerciseFollowed)
def followed(builder: _Builder, event: events.HomeExerciseFollowed, meta: RecordedEvent) -> None:
    builder.reports[event.report_id] = folding.home_report(event)


@TREATMENT_GOALS.on(events.HomeExerciseReportInError)
def report_in_error(
    builder: _Builder, event: events.HomeExerciseReportInError, meta: RecordedEvent
) -> None:
    if (one := builder.reports.get(event.report_id)) is not None:
        builder.reports[one.id] = msgspec.structs.replace(one, in_error=event.reason)


def goals_of_record(state: TreatmentGoalsState) -> Any:
    """Goals and reports of home exercise as known on a day, in order of their entry."""
    return {
        "goals": msgspec.to_builtins(list(state.goals.values())),
        "home_exercise": msgspec.to_builtins(list(state.reports.values())),
    }
