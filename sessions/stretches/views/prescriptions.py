"""The stretches a client is on: prescribe, start, discharge, bring back, end."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.stretches.filters import StretchFilter
from sessions.stretches.rendering import render_prescription
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


@extend_schema_view(
    get=endpoint(
        "List the stretches a client is on",
        response=PrescriptionOutputSerializer(many=True),
        errors=(404,),
        description=(
            "Each with technique, dose, status and how far its readings are from goal: what "
            "is short of it, what is still to be measured, and whether discharge is "
            "proposed."
        ),
        tags=["stretches"],
    )
)
class PrescriptionListView(ClientRecordListView):
    """The stretches prescribed to a client."""

    roles = {"GET": CLINICAL}
    logged_as = "stretches"
    filterset_class = StretchFilter
    order = ("prescribed_at", "id")

    def get_queryset(self) -> Any:
        return prescriptions_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With what is short of its goal."""
        role = self.role(request)
        progress = goal_progress_of(self.client_of(**self.kwargs))
        return [serialize_prescription(role, row, progress.get(row.pk)) for row in rows]

    post = Command(
        "Prescribe a stretch",
        tag="stretches",
        roles=CLINICAL,
        input=StretchPrescribeInputSerializer,
        output=PrescriptionOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=stretch_prescribe,
        render=render_prescription,
        description="An unusual dose is taken with a warning that says what is usual; a technique "
        "that is not permitted for the client now is taken with its reasons.",
    )


class StretchCommandView(ClientRecordView):
    """A step of one stretch on its way."""

    def client_of(self, **ids: Any) -> UUID:
        """The client whose stretch it is."""
        return prescription_get(ids["prescription_id"]).client_id


class StretchStartView(StretchCommandView):
    """The client has begun to do it."""

    post = Command(
        "Start a stretch",
        tag="stretches",
        roles=CLINICAL,
        input=StretchStartInputSerializer,
        output=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=stretch_start,
        render=render_prescription,
        description=(
            "The client has begun with it, in a session that may be named; entered later it "
            "takes the time it happened. It is on the programme and may be discharged from "
            "now on. A repeat changes nothing."
        ),
    )


class StretchDischargeView(StretchCommandView):
    """The client needs it no longer."""

    post = Command(
        "Discharge from a stretch",
        tag="stretches",
        roles=CLINICAL,
        input=StretchDischargeInputSerializer,
        output=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=stretch_discharge,
        render=render_prescription,
        description="Re-checks are planned from the local day it happened on, also when it is "
        "entered later.",
    )


class StretchResumeView(StretchCommandView):
    """The practitioner brings it back, at any loss."""

    post = Command(
        "Bring a discharged stretch back",
        tag="stretches",
        roles=CLINICAL,
        input=ReasonInputSerializer,
        output=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=stretch_resume,
        render=render_prescription,
        description=(
            "It is on the programme again, with the reason; open re-checks fall away until "
            "the next discharge plans new ones. 409 where it was not discharged."
        ),
    )


class StretchEndView(StretchCommandView):
    """A stretch is ended for good; its open re-checks fall away."""

    post = Command(
        "End a stretch",
        tag="stretches",
        roles=CLINICAL,
        input=ReasonInputSerializer,
        example={"reason": "Another stretch takes its place."},
        output=PrescriptionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=stretch_end,
        render=render_prescription,
        description=(
            "For good, with the reason: it leaves the programme, and its open re-checks and "
            "calls fall away. A repeat changes nothing."
        ),
    )


class AllStretchesEndView(ClientRecordView):
    """The client has left."""

    post = Command(
        "End a client's whole programme",
        tag="stretches",
        roles=CLINICAL,
        input=ReasonInputSerializer,
        example={"reason": "The client moves away."},
        errors=(404, 409),
        if_match="optional",
        execute=stretches_end,
        description=(
            "The client has left: every stretch is ended with the reason, and all open "
            "re-checks and calls fall away. Readings and notes stay as they are."
        ),
    )
