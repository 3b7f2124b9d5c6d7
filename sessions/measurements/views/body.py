"""Posture findings and arm circumferences."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.measurements.rendering import (
    render_circumferences,
    render_correction,
    render_posture_finding,
)
from sessions.measurements.selectors.circumferences import circumferences_evaluated
from sessions.measurements.selectors.rows import posture_findings_of
from sessions.measurements.serializers.body import (
    CircumferencesInputSerializer,
    CircumferencesOutputSerializer,
    PostureFindingInputSerializer,
    PostureFindingOutputSerializer,
    serialize_circumferences,
)
from sessions.measurements.serializers.fields import (
    EnteredInErrorInputSerializer,
    EnteredInErrorOutputSerializer,
)
from sessions.measurements.services import (
    circumferences_enter_in_error,
    circumferences_record,
    posture_enter_in_error,
    posture_record,
)


@extend_schema_view(
    get=endpoint(
        "List a client's posture findings",
        response=PostureFindingOutputSerializer(many=True),
        errors=(404,),
        description=(
            "What was seen, how marked, on which side, by whom and when; findings that are "
            "gone are on record with severity `none`. Those entered in error are left out."
        ),
        tags=["range of motion"],
    )
)
class PostureFindingListView(ClientRecordListView):
    """A client's posture over time."""

    roles = {"GET": CLINICAL}
    logged_as = "posture"
    serializer_class = PostureFindingOutputSerializer
    order = ("-observed_at", "-id")

    def get_queryset(self) -> Any:
        return posture_findings_of(self.kwargs.get("client_id"))

    post = Command(
        "Record a posture finding",
        tag="range of motion",
        roles=CLINICAL,
        input=PostureFindingInputSerializer,
        output=PostureFindingOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=posture_record,
        render=render_posture_finding,
        description=(
            "Kind, how marked, and on which side; `none` where it is gone. It answers the "
            "open re-checks that ask for it, and may bring a discharged stretch back."
        ),
    )


class PostureFindingInErrorView(ClientRecordView):
    """A posture finding that must not count."""

    post = Command(
        "Mark a posture finding as entered in error",
        tag="range of motion",
        roles=CLINICAL,
        input=EnteredInErrorInputSerializer,
        output=EnteredInErrorOutputSerializer,
        errors=(404, 409),
        execute=posture_enter_in_error,
        render=render_correction,
        description="Take it out of the clinical view; a re-check that it decided is open again.",
    )


class CircumferencesListView(ClientRecordView):
    """A client's arm circumferences over time."""

    roles = {"GET": CLINICAL}

    @endpoint(
        "List a client's arm circumferences with what they say",
        response=CircumferencesOutputSerializer(many=True),
        errors=(404,),
        description="Newest first. Volume by stacked cones; relative volume change where a "
        "baseline and one-sided risk exist.",
        tags=["range of motion"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """All of them, newest first."""
        self.log_read(request, client_id, "circumferences")
        role = self.role(request)
        rows = [
            serialize_circumferences(role, one, evaluated)
            for one, evaluated in circumferences_evaluated(client_id)
        ]
        return Response(CircumferencesOutputSerializer(rows, many=True).data)

    post = Command(
        "Record the circumferences of both arms",
        tag="range of motion",
        roles=CLINICAL,
        input=CircumferencesInputSerializer,
        output=CircumferencesOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=circumferences_record,
        render=render_circumferences,
        description=(
            "Answers volumes by stacked cones and the change that they show, with `advice` "
            "where the arm is to be measured again or seen. A value out of line with its "
            "neighbours or the last set asks to be confirmed first."
        ),
    )


class CircumferencesInErrorView(ClientRecordView):
    """Circumferences that must not count."""

    post = Command(
        "Mark circumferences as entered in error",
        tag="range of motion",
        roles=CLINICAL,
        input=EnteredInErrorInputSerializer,
        output=EnteredInErrorOutputSerializer,
        errors=(404, 409),
        execute=circumferences_enter_in_error,
        render=render_correction,
        description=(
            "They leave the clinical view and every comparison; the history keeps them, "
            "with who said so and why."
        ),
    )
