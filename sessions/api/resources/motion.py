"""Range of motion: readings with their labels, the picture, goals."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import CLINICAL
from practice.api.views import Answer, ListView
from practice.domain.terms import Instrument, Motion, Movement, Side
from practice.eventlog.projecting import written
from practice.eventlog.runner import Work
from sessions.api.forms.motion import (
    GoalForm,
    GoalIn,
    InError,
    PictureAsked,
    ReadingAnswer,
    ReadingForm,
    ReadingIn,
    shown_reading,
)
from sessions.api.forms.shared import shown_reasons
from sessions.domain.motion.commands import RecordReading, SetGoal
from sessions.domain.motion.events import GoalSet, ReadingRecorded
from sessions.domain.motion.followup import answered_by
from sessions.models import Goal, Reading
from sessions.selectors.motion import Labeller, labelling_slices, series
from sessions.selectors.pictures import MIME, picture
from sessions.services.motion import goal_set, rater, reading_enter_in_error, reading_record
from sessions.services.zones import when


def _choices(kind: Any) -> list[tuple[str, str]]:
    return [(one.value, one.value) for one in kind]


class ReadingFilter(FilterSet):
    """Filters of the series."""

    movement = django_filters.ChoiceFilter(choices=_choices(Movement), help_text="Movement.")
    side = django_filters.ChoiceFilter(choices=_choices(Side), help_text="Side.")
    motion = django_filters.ChoiceFilter(choices=_choices(Motion), help_text="Who moved.")
    instrument = django_filters.ChoiceFilter(choices=_choices(Instrument), help_text="Instrument.")

    class Meta:
        model = Reading
        fields = ("movement", "side", "motion", "instrument")


@extend_schema_view(
    get=described(
        "List a client's range-of-motion readings",
        gives=ReadingForm(many=True),
        refuses=(404,),
        description="Newest first; changes are labelled like with like only.",
        tags=["range of motion"],
    ),
    post=described(
        "Record a range-of-motion reading",
        takes=ReadingIn,
        gives=ReadingAnswer,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class Readings(ClientView, ListView):
    """A client's readings."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = ReadingForm
    filterset_class = ReadingFilter
    order = ("-taken_at", "-id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Reading.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page with labels."""
        self.opened(request, client_id, "range of motion")
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        labeller = Labeller.of_client(client_id)
        rows = [shown_reading(row, labeller.labels(row.pk)) for row in page]
        return self.get_paginated_response(ReadingForm(rows, many=True).data)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new reading; it answers the open re-checks that it does."""
        self.seen(request, client_id)
        given = ReadingIn.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda work: _recorded(work, client_id, given, match), status=201
        )


def _recorded(work: Work, client_id: UUID, given: dict[str, Any], match: int | None) -> Answer:
    at = when(work, client_id, given.get("at"), given.get("session_id"))
    who = rater(work, given.get("rater_id"))
    reading = RecordReading(**{**given, "at": at, "rater_id": who})
    outcome = reading_record(work, client_id=client_id, reading=reading, if_match=match)
    # The row that was just written and the states that were just folded: nothing is asked again.
    row = Reading(**written(Reading, outcome.events, outcome.first(ReadingRecorded).reading_id))
    labels = Labeller.of_states(work.states(client_id, labelling_slices())).labels(row.pk)
    data = {
        "reading": shown_reading(row, labels),
        "rechecks": answered_by(outcome.events),
        "warnings": shown_reasons(work.actor.role, outcome.warnings),
    }
    return Answer(ReadingAnswer(data).data, version=outcome.version)


@extend_schema_view(
    post=described(
        "Mark a reading as entered in error",
        takes=InError,
        status=204,
        refuses=(404, 409),
        idempotency="optional",
        description="It leaves the clinical view; the history keeps it. No re-check is undone.",
        tags=["range of motion"],
    )
)
class ReadingInError(ClientView):
    """A reading that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, reading_id: UUID) -> Any:
        """Take it out of the clinical view."""
        self.seen(request, client_id)
        reason = InError.checked(request.data)["reason"]

        def act(work: Work) -> Answer:
            outcome = reading_enter_in_error(
                work, client_id=client_id, reading_id=reading_id, reason=reason
            )
            return Answer(None, status=204, version=outcome.version)

        return self.command(request, act, status=204)


@extend_schema_view(
    get=extend_schema(
        summary="See a series of readings as a picture",
        parameters=[PictureAsked],
        responses={
            (200, "image/svg+xml"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
            (200, "image/png"): OpenApiResponse(OpenApiTypes.BINARY, description="The picture"),
        },
        description="A line joins readings of one class of instrument. Those of another rater have "
        "another marker and the error of two raters. Goal, surgery and discharge are marked.",
        tags=["range of motion"],
    )
)
class Picture(ClientView):
    """The series as a picture."""

    roles = {"GET": CLINICAL}
    query_form = PictureAsked

    def get(self, request: Request, client_id: UUID) -> HttpResponse:
        """SVG or PNG."""
        given = self.query(request)
        self.opened(request, client_id, "range of motion picture")
        motion = given.get("motion", Motion.ACTIVE)
        kind = given.get("format", "svg")
        found = series(client_id, given["movement"], given["side"], motion)
        return HttpResponse(picture(found, kind), content_type=MIME[kind])


@extend_schema_view(
    get=described(
        "List a client's goals",
        gives=GoalForm(many=True),
        refuses=(404,),
        tags=["range of motion"],
    ),
    post=described(
        "Set a goal",
        takes=GoalIn,
        gives=GoalForm,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="A changed goal is a new one that names the one it replaces.",
        tags=["range of motion"],
    ),
)
class Goals(ClientView, ListView):
    """A client's goals, replaced ones too."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = GoalForm
    order = ("set_at", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Goal.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.opened(request, client_id, "goals")
        return self.listed(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new goal."""
        self.seen(request, client_id)
        given = GoalIn.checked(request.data)
        match = self.if_match(request)

        def act(work: Work) -> Answer:
            goal = SetGoal(**{**given, "at": when(work, client_id, given.get("at"))})
            outcome = goal_set(work, client_id=client_id, goal=goal, if_match=match)
            row = Goal.objects.get(pk=outcome.first(GoalSet).goal_id)
            return Answer(GoalForm(row).data, version=outcome.version)

        return self.command(request, act, status=201)
