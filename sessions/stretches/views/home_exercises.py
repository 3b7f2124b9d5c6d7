"""Home exercises: taught, taken back."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.stretches.rendering import render_assigned_home_exercise, render_home_exercise
from sessions.stretches.selectors.prescriptions import home_exercises_of
from sessions.stretches.serializers.home_exercises import (
    AssignedHomeExerciseOutputSerializer,
    HomeExerciseAssignInputSerializer,
    HomeExerciseOutputSerializer,
)
from sessions.stretches.serializers.rechecks import ReasonInputSerializer
from sessions.stretches.services.home_exercises import (
    home_exercise_assign,
    home_exercise_discontinue,
)


@extend_schema_view(
    get=endpoint(
        "List a client's home exercises",
        response=HomeExerciseOutputSerializer(many=True),
        errors=(404,),
        description=(
            "What the client was taught to do alone, with dose and signs to stop at; those "
            "taken back too, with when and why."
        ),
        tags=["stretches"],
    )
)
class HomeExerciseListView(ClientRecordListView):
    """A client's home exercises, discontinued ones too."""

    roles = {"GET": CLINICAL}
    logged_as = "home exercises"
    serializer_class = HomeExerciseOutputSerializer
    order = ("assigned_on", "id")

    def get_queryset(self) -> Any:
        return home_exercises_of(self.kwargs.get("client_id"))

    post = Command(
        "Record a home exercise that was assigned",
        tag="stretches",
        roles=CLINICAL,
        input=HomeExerciseAssignInputSerializer,
        output=AssignedHomeExerciseOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=home_exercise_assign,
        render=render_assigned_home_exercise,
        description="Self-directed only, with dose and signs to stop at. An unusual dose is taken "
        "with a warning that says what is usual.",
    )


class HomeExerciseDiscontinuationView(ClientRecordView):
    """The client is not to do it any more."""

    post = Command(
        "Take a home exercise back",
        tag="stretches",
        roles=CLINICAL,
        input=ReasonInputSerializer,
        example={"reason": "It pinches at home."},
        output=HomeExerciseOutputSerializer,
        errors=(404, 409),
        execute=home_exercise_discontinue,
        render=render_home_exercise,
        description=(
            "The client is told to stop it; day and reason are kept. A fact that narrows: "
            "it is never refused as stale."
        ),
    )
