"""The stretches a client is on: prescribe, start, discharge, bring back, end; home exercises."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.http.base_views import CommandResponse, ListView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from practice.http.serializers import build_command
from practice.work.unit_of_work import UnitOfWork
from sessions.measurements.services import rater_or_caller
from sessions.stretches.domain.commands import AssignHomeExercise
from sessions.stretches.domain.events import HomeExerciseAssigned
from sessions.stretches.models import HomeExercise
from sessions.stretches.selectors.prescriptions import (
    home_exercises_of,
)
from sessions.stretches.serializers.home_exercises import (
    AssignedHomeExerciseOutputSerializer,
    HomeExerciseAssignInputSerializer,
    HomeExerciseOutputSerializer,
    serialize_assigned_home_exercise,
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
        tags=["stretches"],
    ),
    post=endpoint(
        "Record a home exercise that was taught",
        request=HomeExerciseAssignInputSerializer,
        response=AssignedHomeExerciseOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Self-directed only, with dose and signs to stop at. An unusual dose is taken "
        "with a warning that says what is usual.",
        tags=["stretches"],
    ),
)
class HomeExerciseListView(ClientRecordView, ListView):
    """A client's home exercises, taken back ones too."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = HomeExerciseOutputSerializer
    order = ("assigned_on", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return home_exercises_of(self.kwargs.get("client_id") or UUID(int=0))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.log_read(request, client_id, "home exercises")
        return self.list_response(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new one."""
        given = HomeExerciseAssignInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda uow: _home_exercise_response(uow, client_id, given, match), status=201
        )


def _home_exercise_response(
    uow: UnitOfWork, client_id: UUID, given: dict[str, Any], match: int | None
) -> CommandResponse:
    who = rater_or_caller(uow, given.get("assigned_by"), "assigned_by")
    command = build_command(AssignHomeExercise, {**given, "assigned_by": who})
    outcome = home_exercise_assign(uow, client_id=client_id, exercise=command, if_match=match)
    row = HomeExercise.objects.get(pk=outcome.first(HomeExerciseAssigned).home_exercise_id)
    shown = serialize_assigned_home_exercise(uow.actor.role, row, outcome.warnings)
    return CommandResponse(shown, version=outcome.version)


@extend_schema_view(
    post=endpoint(
        "Take a home exercise back",
        request=ReasonInputSerializer,
        response=HomeExerciseOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="A fact that narrows: never refused as stale.",
        tags=["stretches"],
    )
)
class HomeExerciseDiscontinuationView(ClientRecordView):
    """She is not to do it any more."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, home_exercise_id: UUID) -> Any:
        """Take it back; a repeat changes nothing."""
        reason = ReasonInputSerializer.checked(request.data)["reason"]

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = home_exercise_discontinue(
                uow, client_id=client_id, home_exercise_id=home_exercise_id, reason=reason
            )
            row = HomeExercise.objects.get(pk=home_exercise_id)
            return CommandResponse(HomeExerciseOutputSerializer(row).data, version=outcome.version)

        return self.command(request, execute)
