"""The stretches a client is on: prescribe, start, discharge, bring back, end; home exercises."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import CLINICAL
from practice.api.serializers import build
from practice.api.views import Answer, ListView
from practice.eventlog.runner import Outcome, Work
from sessions.api.forms.programme import (
    BecauseIn,
    DischargeIn,
    HomeExerciseForm,
    PrescribeIn,
    StartIn,
    StretchForm,
    TaughtForm,
    TeachIn,
    shown_stretch,
    shown_taught,
)
from sessions.domain.programme.commands import PrescribeStretch, TeachHomeExercise
from sessions.domain.programme.events import HomeExerciseTaught, StretchPrescribed
from sessions.domain.programme.state import Standing
from sessions.models import HomeExercise, Prescription
from sessions.selectors.programme import (
    home_exercises_of,
    prescription_get,
    prescriptions_of,
    standings_of,
)
from sessions.services.homeexercises import home_exercise_take_back, home_exercise_teach
from sessions.services.motion import rater
from sessions.services.programme import (
    programme_end,
    stretch_discharge,
    stretch_end,
    stretch_prescribe,
    stretch_resume,
    stretch_start,
)
from sessions.services.zones import when

Act = Callable[[Work, Prescription], Outcome]


class StretchFilter(FilterSet):
    """Filters of a programme."""

    standing = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in Standing], help_text="E.g. `active`."
    )
    stretch = django_filters.CharFilter(help_text="Code of the stretch.")

    class Meta:
        model = Prescription
        fields = ("standing", "stretch")


def stretch_answer(work: Work, prescription_id: UUID, outcome: Outcome) -> Answer:
    """The stretch as it stands after a command."""
    row = prescription_get(prescription_id)
    standing = standings_of(row.client_id).get(row.pk)
    shown = shown_stretch(work.actor.role, row, standing, outcome.warnings)
    return Answer(shown, version=outcome.version)


@extend_schema_view(
    get=described(
        "List the stretches a client is on",
        gives=StretchForm(many=True),
        refuses=(404,),
        tags=["stretches"],
    ),
    post=described(
        "Prescribe a stretch",
        takes=PrescribeIn,
        gives=StretchForm,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="An unusual dose is taken with a warning that says what is usual; a technique "
        "that is not permitted for her now is taken with its reasons.",
        tags=["stretches"],
    ),
)
class Stretches(ClientView, ListView):
    """A client's programme."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = StretchForm
    filterset_class = StretchFilter
    order = ("prescribed_at", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return prescriptions_of(self.kwargs.get("client_id") or UUID(int=0))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page, with what is short of its goal."""
        role = self.opened(request, client_id, "stretches").role
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        standing = standings_of(client_id)
        shown = [shown_stretch(role, row, standing.get(row.pk)) for row in page]
        return self.get_paginated_response(shown)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new stretch on the programme."""
        self.seen(request, client_id)
        given = PrescribeIn.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda work: _prescribed(work, client_id, given, match), status=201
        )


def _prescribed(work: Work, client_id: UUID, given: dict[str, Any], match: int | None) -> Answer:
    at = when(work, client_id, given.get("at"), given.get("session_id"))
    command = build(PrescribeStretch, {**given, "at": at})
    outcome = stretch_prescribe(work, client_id=client_id, stretch=command, if_match=match)
    return stretch_answer(work, outcome.first(StretchPrescribed).prescription_id, outcome)


class StretchStep(ClientView):
    """A step of one stretch on its way."""

    roles = {"POST": CLINICAL}

    def step(self, request: Request, prescription_id: UUID, act: Act) -> Any:
        """Do it for the client whose stretch it is."""
        self.seen(request, prescription_get(prescription_id).client_id)

        def run(work: Work) -> Answer:
            outcome = act(work, prescription_get(prescription_id))
            return stretch_answer(work, prescription_id, outcome)

        return self.command(request, run)

    def step_because(
        self, request: Request, prescription_id: UUID, service: Callable[..., Outcome]
    ) -> Any:
        """A step that takes nothing but its reason."""
        reason = BecauseIn.checked(request.data)["reason"]
        match = self.if_match(request)
        return self.step(
            request,
            prescription_id,
            lambda work, row: service(
                work,
                client_id=row.client_id,
                prescription_id=row.pk,
                reason=reason,
                if_match=match,
            ),
        )


@extend_schema_view(
    post=described(
        "Start a stretch",
        takes=StartIn,
        gives=StretchForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class Start(StretchStep):
    """The client has begun to do it."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Start it; a repeat changes nothing."""
        given = StartIn.checked(request.data)
        match = self.if_match(request)
        session_id = given.get("session_id")
        return self.step(
            request,
            prescription_id,
            lambda work, row: stretch_start(
                work,
                client_id=row.client_id,
                prescription_id=row.pk,
                session_id=session_id,
                at=when(work, row.client_id, given.get("at"), session_id),
                if_match=match,
            ),
        )


@extend_schema_view(
    post=described(
        "Discharge from a stretch",
        takes=DischargeIn,
        gives=StretchForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Re-checks are planned from the local day it happened on, also when it is "
        "entered later.",
        tags=["stretches"],
    )
)
class Discharge(StretchStep):
    """The client needs it no longer."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Discharge; without a reading at goal the reason is needed."""
        given = DischargeIn.checked(request.data)
        match = self.if_match(request)
        return self.step(
            request,
            prescription_id,
            lambda work, row: stretch_discharge(
                work, client_id=row.client_id, prescription_id=row.pk, if_match=match, **given
            ),
        )


@extend_schema_view(
    post=described(
        "Bring a discharged stretch back",
        takes=BecauseIn,
        gives=StretchForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class Resume(StretchStep):
    """The practitioner brings it back, at any loss."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Bring it back; its open re-checks fall away."""
        return self.step_because(request, prescription_id, stretch_resume)


@extend_schema_view(
    post=described(
        "End a stretch",
        takes=BecauseIn,
        gives=StretchForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class End(StretchStep):
    """Off the programme for good."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """End it; its open re-checks fall away."""
        return self.step_because(request, prescription_id, stretch_end)


@extend_schema_view(
    post=described(
        "End a client's whole programme",
        takes=BecauseIn,
        status=204,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="She has left: every stretch is ended, and the re-checks fall away.",
        tags=["stretches"],
    )
)
class ProgrammeEnd(ClientView):
    """The client has left."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID) -> Any:
        """End everything; a repeat changes nothing."""
        self.seen(request, client_id)
        reason = BecauseIn.checked(request.data)["reason"]
        match = self.if_match(request)

        def act(work: Work) -> Answer:
            outcome = programme_end(work, client_id=client_id, reason=reason, if_match=match)
            return Answer(None, status=204, version=outcome.version)

        return self.command(request, act, status=204)


@extend_schema_view(
    get=described(
        "List a client's home exercises",
        gives=HomeExerciseForm(many=True),
        refuses=(404,),
        tags=["stretches"],
    ),
    post=described(
        "Record a home exercise that was taught",
        takes=TeachIn,
        gives=TaughtForm,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Self-directed only, with dose and signs to stop at. An unusual dose is taken "
        "with a warning that says what is usual.",
        tags=["stretches"],
    ),
)
class HomeExercises(ClientView, ListView):
    """A client's home exercises, taken back ones too."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = HomeExerciseForm
    order = ("taught_on", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return home_exercises_of(self.kwargs.get("client_id") or UUID(int=0))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.opened(request, client_id, "home exercises")
        return self.listed(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new one."""
        self.seen(request, client_id)
        given = TeachIn.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda work: _taught(work, client_id, given, match), status=201
        )


def _taught(work: Work, client_id: UUID, given: dict[str, Any], match: int | None) -> Answer:
    who = rater(work, given.get("taught_by"), "taught_by")
    command = build(TeachHomeExercise, {**given, "taught_by": who})
    outcome = home_exercise_teach(work, client_id=client_id, exercise=command, if_match=match)
    row = HomeExercise.objects.get(pk=outcome.first(HomeExerciseTaught).home_exercise_id)
    shown = shown_taught(work.actor.role, row, outcome.warnings)
    return Answer(shown, version=outcome.version)


@extend_schema_view(
    post=described(
        "Take a home exercise back",
        takes=BecauseIn,
        gives=HomeExerciseForm,
        refuses=(404, 409),
        idempotency="optional",
        description="A fact that narrows: never refused as stale.",
        tags=["stretches"],
    )
)
class HomeExerciseTakenBack(ClientView):
    """She is not to do it any more."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, home_exercise_id: UUID) -> Any:
        """Take it back; a repeat changes nothing."""
        self.seen(request, client_id)
        reason = BecauseIn.checked(request.data)["reason"]

        def act(work: Work) -> Answer:
            outcome = home_exercise_take_back(
                work, client_id=client_id, home_exercise_id=home_exercise_id, reason=reason
            )
            row = HomeExercise.objects.get(pk=home_exercise_id)
            return Answer(HomeExerciseForm(row).data, version=outcome.version)

        return self.command(request, act)
