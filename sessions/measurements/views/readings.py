"""Range of motion: readings with their labels, the picture, goals."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema_view
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.core.terms import MotionType
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.renderers import PngRenderer, SvgRenderer
from practice.http.roles import CLINICAL
from sessions.measurements.filters import ReadingFilter
from sessions.measurements.rendering import render_correction, render_goal, render_reading
from sessions.measurements.selectors.charts import MIME_TYPES, chart_heading, render_chart
from sessions.measurements.selectors.readings import ReadingLabeller, reading_series
from sessions.measurements.selectors.rows import goals_of, readings_of
from sessions.measurements.serializers.fields import (
    EnteredInErrorInputSerializer,
    EnteredInErrorOutputSerializer,
)
from sessions.measurements.serializers.readings import (
    ChartClient,
    ChartQueryInputSerializer,
    GoalInputSerializer,
    GoalOutputSerializer,
    ReadingInputSerializer,
    ReadingOutputSerializer,
    RecordedReadingOutputSerializer,
    serialize_reading,
)
from sessions.measurements.services import goal_set, reading_enter_in_error, reading_record


@extend_schema_view(
    get=endpoint(
        "List a client's range-of-motion readings",
        response=ReadingOutputSerializer(many=True),
        errors=(404,),
        description=(
            "Newest first. Each is compared with discharge, baseline, the last and the "
            "best, and only with what is like it: same side, movement, motion and "
            "instrument. A drop says that it is to be measured again."
        ),
        tags=["range of motion"],
    )
)
class ReadingListView(ClientRecordListView):
    """A client's range-of-motion readings."""

    roles = {"GET": CLINICAL}
    logged_as = "range of motion"
    filterset_class = ReadingFilter
    order = ("-taken_at", "-id")

    def get_queryset(self) -> Any:
        return readings_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        labeller = ReadingLabeller.of_client(self.client_of(**self.kwargs), rows)
        shown = [serialize_reading(row, labeller.labels(row.pk)) for row in rows]
        return ReadingOutputSerializer(shown, many=True).data

    post = Command(
        "Record a range-of-motion reading",
        tag="range of motion",
        roles=CLINICAL,
        input=ReadingInputSerializer,
        output=RecordedReadingOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=reading_record,
        render=render_reading,
        description=(
            "It answers the open re-checks that ask for it: maintained, or regressed, and "
            "then the stretch is back on the programme; the answer says which. A value "
            "outside the usual range asks to be confirmed first."
        ),
    )


class ReadingInErrorView(ClientRecordView):
    """A reading that must not count."""

    post = Command(
        "Mark a reading as entered in error",
        tag="range of motion",
        roles=CLINICAL,
        input=EnteredInErrorInputSerializer,
        output=EnteredInErrorOutputSerializer,
        errors=(404, 409),
        execute=reading_enter_in_error,
        render=render_correction,
        description="It leaves the clinical view; the history keeps it. A re-check that it decided "
        "is open again, and a stretch that it brought back is discharged as before. A discharge "
        "that rests on it stands, and a warning asks to look again.",
    )


class ReadingChartView(ClientRecordView):
    """The series as a picture."""

    roles = {"GET": CLINICAL}
    query_form = ChartQueryInputSerializer
    renderer_classes = (SvgRenderer, PngRenderer)

    def get_renderers(self) -> list[BaseRenderer]:
        """The one that `format` names; without it ``Accept`` chooses."""
        every, request = super().get_renderers(), getattr(self, "request", None)
        asked = request.query_params.get("format") if isinstance(request, Request) else None
        return [one for one in every if one.format == asked] or every

    @endpoint(
        "See a series of readings as a picture",
        query=ChartQueryInputSerializer,
        response={
            (200, "image/svg+xml"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
            (200, "image/png"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
        },
        errors=(404,),
        description="To be read away from the program, by a physician too: movement, side and"
        " unit, the client by initials or name, dates, instrument and position, each value (of"
        " more than 60 in a line the first, lowest, highest and last), from 0 degrees. A line"
        " joins readings of one class of instrument. Those of another rater have another marker"
        " and the error of two raters. Goal, surgery and discharge are marked; what the goal rests"
        " on stands below.",
    )
    def get(self, request: Request, client_id: UUID) -> HttpResponse:
        """SVG or PNG."""
        given = self.query(request)
        self.log_read(request, client_id, "range of motion picture")
        motion = given.get("motion", MotionType.ACTIVE)
        kind = request.accepted_renderer.format
        found = reading_series(client_id, given["movement"], given["side"], motion)
        named = given.get("client") is ChartClient.NAME
        heading = chart_heading(self.actor(request), client_id, named=named)
        return HttpResponse(render_chart(found, kind, heading), content_type=MIME_TYPES[kind])


@extend_schema_view(
    get=endpoint(
        "List a client's goals",
        response=GoalOutputSerializer(many=True),
        errors=(404,),
        description=(
            "For range, posture and pain, in the order in which they were set, each with "
            "where its number comes from; replaced ones stay and name what replaced them."
        ),
        tags=["range of motion"],
    )
)
class GoalListView(ClientRecordListView):
    """A client's goals, replaced ones too."""

    roles = {"GET": CLINICAL}
    logged_as = "goals"
    serializer_class = GoalOutputSerializer
    order = ("set_at", "id")

    def get_queryset(self) -> Any:
        return goals_of(self.kwargs.get("client_id"))

    post = Command(
        "Set a goal",
        tag="range of motion",
        roles=CLINICAL,
        input=GoalInputSerializer,
        output=GoalOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=goal_set,
        render=render_goal,
        description=(
            "A changed goal replaces the one before it, which stays on record. The number "
            "comes from common practice, a published norm, the other side, or is given as "
            "such; discharge looks at it."
        ),
    )
