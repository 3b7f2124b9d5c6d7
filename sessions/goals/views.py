"""Treatment goals of a client, and what was said of home exercise."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.goals import serializers as forms
from sessions.goals import services
from sessions.goals.filters import HomeReportFilter
from sessions.goals.models import HomeExerciseReport, TreatmentGoal
from sessions.goals.rendering import (
    render_home_report,
    render_treatment_goal,
    serialize_home_reports,
    serialize_treatment_goals,
)
from sessions.goals.selectors import home_reports_of, treatment_goals_of
from sessions.goals.serializers import HomeReportOutputSerializer, TreatmentGoalOutputSerializer


@extend_schema_view(
    get=endpoint(
        "List the client's treatment goals",
        response=TreatmentGoalOutputSerializer(many=True),
        errors=(404,),
        description="By number, each as it stands now, as it was agreed on, and with every review;"
        " those that were met, given up or entered in error too. What is measured in degrees"
        " stands among the goals of range of motion, and is named in `measured_by`.",
        tags=["treatment goals"],
    )
)
class TreatmentGoalListView(ClientRecordListView):
    """The treatment goals of one client."""

    roles = {"GET": CLINICAL}
    logged_as = "treatment goals"
    order = ("number", "id")

    def get_queryset(self) -> QuerySet[TreatmentGoal]:
        return treatment_goals_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names."""
        return serialize_treatment_goals(rows)

    post = Command(
        "Agree on a treatment goal",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.TreatmentGoalInputSerializer,
        output=TreatmentGoalOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.treatment_goal_set,
        render=render_treatment_goal,
        description="With the client's own words. Its id and its number stay for ever, whatever"
        " reviews make of it, so that reports may quote them; a number is never given again.",
    )


class GoalReviewView(ClientRecordView):
    """What a review found."""

    post = Command(
        "Review a treatment goal",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.GoalReviewInputSerializer,
        output=TreatmentGoalOutputSerializer,
        errors=(404, 409),
        execute=services.treatment_goal_review,
        render=render_treatment_goal,
        description="Met, not met, changed or given up; all but met need the reason. Changed keeps"
        " id and number and says the whole goal anew. 409 `goal_not_open` for one that is met or"
        " given up: that review is taken back first.",
    )


class GoalReviewInErrorView(ClientRecordView):
    """The last review does not count."""

    post = Command(
        "Take back the last review of a treatment goal",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.GoalReviewInErrorInputSerializer,
        output=TreatmentGoalOutputSerializer,
        errors=(404, 409),
        execute=services.treatment_goal_review_take_back,
        render=render_treatment_goal,
        description="With the reason: the goal is again what it was before, and open if that had"
        " ended it. 409 `later_review` where another came after it.",
    )


class GoalInErrorView(ClientRecordView):
    """There was no such goal."""

    post = Command(
        "Enter a treatment goal in error",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.GoalInErrorInputSerializer,
        output=TreatmentGoalOutputSerializer,
        errors=(404, 409),
        execute=services.treatment_goal_enter_in_error,
        render=render_treatment_goal,
        description="With the reason. It stays on record with its number, which no other gets.",
    )


@extend_schema_view(
    get=endpoint(
        "List what the client said of home exercise",
        response=HomeReportOutputSerializer(many=True),
        errors=(404,),
        description="The latest days first: followed as assigned, in part or not, how often, in"
        " the client's own words. Those that were taken back are shown with the reason.",
        tags=["treatment goals"],
    )
)
class HomeReportListView(ClientRecordListView):
    """What one client said of home exercise."""

    roles = {"GET": CLINICAL}
    logged_as = "home exercise"
    filterset_class = HomeReportFilter
    order = ("-to_day", "id")

    def get_queryset(self) -> QuerySet[HomeExerciseReport]:
        return home_reports_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names."""
        return serialize_home_reports(rows)


class HomeReportView(ClientRecordView):
    """What the client says of a home exercise."""

    post = Command(
        "Record whether a home exercise was followed",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.HomeReportInputSerializer,
        output=HomeReportOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.home_exercise_report,
        render=render_home_report,
        description="For a week, since the last session, or any days from its assignment until"
        " today; left out, since the last report. 409 `days_reported` where some of the days are"
        " on record: that report is taken back first.",
    )


class HomeReportInErrorView(ClientRecordView):
    """A report does not count."""

    post = Command(
        "Take back a report of home exercise",
        tag="treatment goals",
        roles=CLINICAL,
        input=forms.GoalInErrorInputSerializer,
        output=HomeReportOutputSerializer,
        errors=(404, 409),
        execute=services.home_report_enter_in_error,
        render=render_home_report,
        description="With the reason. Its days may be reported anew; it stays visible.",
    )
