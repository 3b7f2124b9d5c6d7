"""The treatment goals of a client, and what was said of home exercise."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet

from sessions.goals.models import HomeExerciseReport, TreatmentGoal


def treatment_goals_of(client_id: UUID | None) -> QuerySet[TreatmentGoal]:
    """The client's goals, open or not."""
    return TreatmentGoal.objects.filter(client_id=client_id)  # type: ignore[misc]  # None: none


def home_reports_of(client_id: UUID | None) -> QuerySet[HomeExerciseReport]:
    """What the client said of home exercise."""
    return HomeExerciseReport.objects.filter(client_id=client_id)  # type: ignore[misc]  # None: none


def treatment_goal_row(goal_id: UUID) -> TreatmentGoal:
    """A goal as it stands, whoever asks: after a command that was allowed."""
    return TreatmentGoal.objects.get(pk=goal_id)


def home_report_row(report_id: UUID) -> HomeExerciseReport:
    """A report as it stands, whoever asks: after a command that was allowed."""
    return HomeExerciseReport.objects.get(pk=report_id)
