"""Treatment goals and reports of home exercise as shown, with names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any
from uuid import UUID

import msgspec

from practice.http.representations import Representation
from practice.people_and_places.models.staff import Staff
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.goals.domain.goal import GoalReview
from sessions.goals.domain.goal import TreatmentGoal as Goal
from sessions.goals.models import HomeExerciseReport, TreatmentGoal
from sessions.goals.selectors import home_report_row, treatment_goal_row
from sessions.goals.serializers import HomeReportOutputSerializer, TreatmentGoalOutputSerializer
from sessions.stretches.models import HomeExercise


def serialize_treatment_goals(rows: Sequence[TreatmentGoal]) -> Any:
    """Goals with their reviews; one query for the names of them all."""
    goals = [msgspec.convert(row.goal, Goal) for row in rows]
    people = _staff_names(
        [one.set_by for one in goals] + [each.by for one in goals for each in one.reviews]
    )
    shown = [
        _goal(one, row.status, row.version, people) for row, one in zip(rows, goals, strict=True)
    ]
    return TreatmentGoalOutputSerializer(shown, many=True).data


def serialize_home_reports(rows: Sequence[HomeExerciseReport]) -> Any:
    """Reports with the names of exercises and people: two queries for them all."""
    people = _staff_names(row.reported_by for row in rows)
    exercises = HomeExercise.objects.filter(pk__in={row.home_exercise_id for row in rows})
    names = dict(exercises.values_list("pk", "name")) if rows else {}
    for row in rows:
        found: Any = row
        found.name = names.get(row.home_exercise_id, "")
        found.reported_by_name = people.get(row.reported_by, "")
    return HomeReportOutputSerializer(rows, many=True).data


def render_treatment_goal(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The goal as it stands after a command; the ETag is that of the whole record."""
    (shown,) = serialize_treatment_goals([treatment_goal_row(outcome.entity_id)])
    return Representation(shown, outcome.version)


def render_home_report(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The report as it stands after a command."""
    (shown,) = serialize_home_reports([home_report_row(outcome.entity_id)])
    return Representation(shown, outcome.version)


def _staff_names(ids: Iterable[UUID]) -> dict[UUID, str]:
    wanted = set(ids)
    if not wanted:
        return {}
    return dict(Staff.objects.filter(pk__in=wanted).values_list("pk", "name"))


def _goal(one: Goal, status: str, version: int, people: dict[UUID, str]) -> dict[str, Any]:
    return {
        "id": one.id,
        "number": one.number,
        "status": status,
        **msgspec.structs.asdict(one.content),
        "set_on": one.set_on,
        "set_by_name": people.get(one.set_by, ""),
        "agreed_on": msgspec.structs.asdict(one.first),
        "reviews": [_review(each, people) for each in one.reviews],
        "in_error": one.in_error,
        "version": version,
    }


def _review(one: GoalReview, people: dict[UUID, str]) -> dict[str, Any]:
    changed = one.content
    return {
        **msgspec.structs.asdict(one),
        "by_name": people.get(one.by, ""),
        "changed_to": msgspec.structs.asdict(changed) if changed is not None else None,
    }
