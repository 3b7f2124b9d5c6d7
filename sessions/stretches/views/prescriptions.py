"""The stretches a client is on: prescribe, start, discharge, bring back, end; home exercises."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from practice.http.serializers import build_command
from practice.http.views import CommandResponse, ListView
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.calendar.selectors.zones import resolve_occurred_at
from sessions.stretches.domain.commands import PrescribeStretch
from sessions.stretches.domain.events import StretchPrescribed
from sessions.stretches.filters import StretchFilter
from sessions.stretches.models import Prescription
from sessions.stretches.selectors.prescriptions import (
    goal_progress_of,
    prescription_get,
    prescriptions_of,
)
from sessions.stretches.serializers.prescriptions import (
    PrescriptionOutputSerializer,
    StretchDischargeInputSerializer,
    StretchPrescribeInputSerializer,
    StretchStartInputSerializer,
    serialize_prescription,
)
from sessions.stretches.serializers.rechecks import ReasonInputSerializer
from sessions.stretches.services.prescriptions import (
    stretch_discharge,
    stretch_end,
    stretch_prescribe,
    stretch_resume,
    stretch_start,
    stretches_end,
)

StretchCommand = Callable[[UnitOfWork, Prescription], Outcome]


def prescription_response(
    uow: UnitOfWork, prescription_id: UUID, outcome: Outcome
) -> CommandResponse:
    """The stretch as it stands after a command."""
    row = prescription_get(prescription_id)
    status = goal_progress_of(row.client_id).get(row.pk)
    shown = serialize_prescription(uow.actor.role, row, status, outcome.warnings)
    return CommandResponse(shown, version=outcome.version)


@extend_schema_view(
    get=endpoint(
        "List the stretches a client is on",
        response=PrescriptionOutputSerializer(many=True),
        errors=(404,),
        tags=["stretches"],
    ),
    post=endpoint(
        "Prescribe a stretch",
        request=StretchPrescribeInputSerializer,
        response=PrescriptionOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="An unusual dose is taken with a warning that says what is usual; a technique "
        "that is not permitted for her now is taken with its reasons.",
        tags=["stretches"],
    ),
)
class PrescriptionListView(ClientRecordView, ListView):
    """A client's programme."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = PrescriptionOutputSerializer
    filterset_class = StretchFilter
    order = ("prescribed_at", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return prescriptions_of(self.kwargs.get("client_id") or UUID(int=0))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page, with what is short of its goal."""
        role = self.read_client(request, client_id, "stretches").role
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        status = goal_progress_of(client_id)
        shown = [serialize_prescription(role, row, status.get(row.pk)) for row in page]
        return self.get_paginated_response(shown)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new stretch on the programme."""
        self.check_visible(request, client_id)
        given = StretchPrescribeInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda uow: _prescription_response(uow, client_id, given, match), status=201
        )


def _prescription_response(
    uow: UnitOfWork, client_id: UUID, given: dict[str, Any], match: int | None
) -> CommandResponse:
    at = resolve_occurred_at(uow, client_id, given.get("occurred_at"), given.get("session_id"))
    command = build_command(PrescribeStretch, {**given, "occurred_at": at})
    outcome = stretch_prescribe(uow, client_id=client_id, stretch=command, if_match=match)
    return prescription_response(uow, outcome.first(StretchPrescribed).prescription_id, outcome)


class StretchCommandView(ClientRecordView):
    """A step of one stretch on its way."""

    roles = {"POST": CLINICAL}

    def step(self, request: Request, prescription_id: UUID, execute: StretchCommand) -> Any:
        """Do it for the client whose stretch it is."""
        self.check_visible(request, prescription_get(prescription_id).client_id)

        def run(uow: UnitOfWork) -> CommandResponse:
            outcome = execute(uow, prescription_get(prescription_id))
            return prescription_response(uow, prescription_id, outcome)

        return self.command(request, run)

    def step_because(
        self, request: Request, prescription_id: UUID, service: Callable[..., Outcome]
    ) -> Any:
        """A step that takes nothing but its reason."""
        reason = ReasonInputSerializer.checked(request.data)["reason"]
        match = self.if_match(request)
        return self.step(
            request,
            prescription_id,
            lambda uow, row: service(
                uow,
                client_id=row.client_id,
                prescription_id=row.pk,
                reason=reason,
                if_match=match,
            ),
        )


@extend_schema_view(
    post=endpoint(
        "Start a stretch",
        request=StretchStartInputSerializer,
        response=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class StretchStartView(StretchCommandView):
    """The client has begun to do it."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Start it; a repeat changes nothing."""
        given = StretchStartInputSerializer.checked(request.data)
        match = self.if_match(request)
        session_id = given.get("session_id")
        return self.step(
            request,
            prescription_id,
            lambda uow, row: stretch_start(
                uow,
                client_id=row.client_id,
                prescription_id=row.pk,
                session_id=session_id,
                occurred_at=resolve_occurred_at(
                    uow, row.client_id, given.get("occurred_at"), session_id
                ),
                if_match=match,
            ),
        )


@extend_schema_view(
    post=endpoint(
        "Discharge from a stretch",
        request=StretchDischargeInputSerializer,
        response=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Re-checks are planned from the local day it happened on, also when it is "
        "entered later.",
        tags=["stretches"],
    )
)
class StretchDischargeView(StretchCommandView):
    """The client needs it no longer."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Discharge; without a reading at goal the reason is needed."""
        given = StretchDischargeInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.step(
            request,
            prescription_id,
            lambda uow, row: stretch_discharge(
                uow, client_id=row.client_id, prescription_id=row.pk, if_match=match, **given
            ),
        )


@extend_schema_view(
    post=endpoint(
        "Bring a discharged stretch back",
        request=ReasonInputSerializer,
        response=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class StretchResumeView(StretchCommandView):
    """The practitioner brings it back, at any loss."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """Bring it back; its open re-checks fall away."""
        return self.step_because(request, prescription_id, stretch_resume)


@extend_schema_view(
    post=endpoint(
        "End a stretch",
        request=ReasonInputSerializer,
        response=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["stretches"],
    )
)
class StretchEndView(StretchCommandView):
    """Off the programme for good."""

    def post(self, request: Request, prescription_id: UUID) -> Any:
        """End it; its open re-checks fall away."""
        return self.step_because(request, prescription_id, stretch_end)


@extend_schema_view(
    post=endpoint(
        "End a client's whole programme",
        request=ReasonInputSerializer,
        status=204,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="She has left: every stretch is ended, and the re-checks fall away.",
        tags=["stretches"],
    )
)
class AllStretchesEndView(ClientRecordView):
    """The client has left."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID) -> Any:
        """End everything; a repeat changes nothing."""
        self.check_visible(request, client_id)
        reason = ReasonInputSerializer.checked(request.data)["reason"]
        match = self.if_match(request)

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = stretches_end(uow, client_id=client_id, reason=reason, if_match=match)
            return CommandResponse(None, status=204, version=outcome.version)

        return self.command(request, execute, status=204)
