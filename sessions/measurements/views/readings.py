"""Range of motion: readings with their labels, the picture, goals."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.core.terms import MotionType
from practice.http.openapi import endpoint
from practice.http.reasons import shown_reasons
from practice.http.roles import CLINICAL
from practice.http.views import CommandResponse, ListView
from practice.work.projection_runner import row_of_new_stream
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.selectors.zones import resolve_occurred_at
from sessions.measurements.domain.commands import RecordReading, SetGoal
from sessions.measurements.domain.events import GoalSet, ReadingRecorded
from sessions.measurements.domain.follow_up import answered_by
from sessions.measurements.filters import ReadingFilter
from sessions.measurements.models import Goal, Reading
from sessions.measurements.selectors.charts import MIME_TYPES, render_chart
from sessions.measurements.selectors.readings import (
    ReadingLabeller,
    labelling_slices,
    reading_series,
)
from sessions.measurements.serializers.fields import EnteredInErrorInputSerializer
from sessions.measurements.serializers.readings import (
    ChartQueryInputSerializer,
    GoalInputSerializer,
    GoalOutputSerializer,
    ReadingInputSerializer,
    ReadingOutputSerializer,
    RecordedReadingOutputSerializer,
    serialize_reading,
)
from sessions.measurements.services import (
    goal_set,
    rater_or_caller,
    reading_enter_in_error,
    reading_record,
)


@extend_schema_view(
    get=endpoint(
        "List a client's range-of-motion readings",
        response=ReadingOutputSerializer(many=True),
        errors=(404,),
        description="Newest first; changes are labelled like with like only.",
        tags=["range of motion"],
    ),
    post=endpoint(
        "Record a range-of-motion reading",
        request=ReadingInputSerializer,
        response=RecordedReadingOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class ReadingListView(ClientRecordView, ListView):
    """A client's readings."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = ReadingOutputSerializer
    filterset_class = ReadingFilter
    order = ("-taken_at", "-id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Reading.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page with labels."""
        self.read_client(request, client_id, "range of motion")
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        labeller = ReadingLabeller.of_client(client_id)
        rows = [serialize_reading(row, labeller.labels(row.pk)) for row in page]
        return self.get_paginated_response(ReadingOutputSerializer(rows, many=True).data)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new reading; it answers the open re-checks that it does."""
        self.check_visible(request, client_id)
        given = ReadingInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda uow: _reading_response(uow, client_id, given, match), status=201
        )


def _reading_response(
    uow: UnitOfWork, client_id: UUID, given: dict[str, Any], match: int | None
) -> CommandResponse:
    at = resolve_occurred_at(uow, client_id, given.get("occurred_at"), given.get("session_id"))
    who = rater_or_caller(uow, given.get("rater_id"))
    reading = RecordReading(**{**given, "occurred_at": at, "rater_id": who})
    outcome = reading_record(uow, client_id=client_id, reading=reading, if_match=match)
    # The row that was just written and the states that were just folded: nothing is asked again.
    row = Reading(
        **row_of_new_stream(Reading, outcome.events, outcome.first(ReadingRecorded).reading_id)
    )
    labels = ReadingLabeller.of_states(uow.states(client_id, labelling_slices())).labels(row.pk)
    data = {
        "reading": serialize_reading(row, labels),
        "rechecks": answered_by(outcome.events),
        "warnings": shown_reasons(uow.actor.role, outcome.warnings),
    }
    return CommandResponse(RecordedReadingOutputSerializer(data).data, version=outcome.version)


@extend_schema_view(
    post=endpoint(
        "Mark a reading as entered in error",
        request=EnteredInErrorInputSerializer,
        status=204,
        errors=(404, 409),
        idempotency="optional",
        description="It leaves the clinical view; the history keeps it. No re-check is undone.",
        tags=["range of motion"],
    )
)
class ReadingInErrorView(ClientRecordView):
    """A reading that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, reading_id: UUID) -> Any:
        """Take it out of the clinical view."""
        self.check_visible(request, client_id)
        reason = EnteredInErrorInputSerializer.checked(request.data)["reason"]

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = reading_enter_in_error(
                uow, client_id=client_id, reading_id=reading_id, reason=reason
            )
            return CommandResponse(None, status=204, version=outcome.version)

        return self.command(request, execute, status=204)


@extend_schema_view(
    get=extend_schema(
        summary="See a series of readings as a picture",
        parameters=[ChartQueryInputSerializer],
        responses={
            (200, "image/svg+xml"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
            (200, "image/png"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
        },
        description="A line joins readings of one class of instrument. Those of another rater have "
        "another marker and the error of two raters. Goal, surgery and discharge are marked.",
        tags=["range of motion"],
    )
)
class ReadingChartView(ClientRecordView):
    """The series as a picture."""

    roles = {"GET": CLINICAL}
    query_form = ChartQueryInputSerializer

    def get(self, request: Request, client_id: UUID) -> HttpResponse:
        """SVG or PNG."""
        given = self.query(request)
        self.read_client(request, client_id, "range of motion picture")
        motion = given.get("motion", MotionType.ACTIVE)
        kind = given.get("format", "svg")
        found = reading_series(client_id, given["movement"], given["side"], motion)
        return HttpResponse(render_chart(found, kind), content_type=MIME_TYPES[kind])


@extend_schema_view(
    get=endpoint(
        "List a client's goals",
        response=GoalOutputSerializer(many=True),
        errors=(404,),
        tags=["range of motion"],
    ),
    post=endpoint(
        "Set a goal",
        request=GoalInputSerializer,
        response=GoalOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="A changed goal is a new one that names the one it replaces.",
        tags=["range of motion"],
    ),
)
class GoalListView(ClientRecordView, ListView):
    """A client's goals, replaced ones too."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = GoalOutputSerializer
    order = ("set_at", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Goal.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.read_client(request, client_id, "goals")
        return self.list_response(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new goal."""
        self.check_visible(request, client_id)
        given = GoalInputSerializer.checked(request.data)
        match = self.if_match(request)

        def execute(uow: UnitOfWork) -> CommandResponse:
            goal = SetGoal(
                **{
                    **given,
                    "occurred_at": resolve_occurred_at(uow, client_id, given.get("occurred_at")),
                }
            )
            outcome = goal_set(uow, client_id=client_id, goal=goal, if_match=match)
            row = Goal.objects.get(pk=outcome.first(GoalSet).goal_id)
            return CommandResponse(GoalOutputSerializer(row).data, version=outcome.version)

        return self.command(request, execute, status=201)
