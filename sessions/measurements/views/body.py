"""Posture findings and arm girths."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from practice.http.views import CommandResponse, ListView
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.selectors.zones import resolve_occurred_at
from sessions.measurements.domain.commands import RecordCircumferences, RecordPosture
from sessions.measurements.domain.events import CircumferencesMeasured, PostureRecorded
from sessions.measurements.models import PostureFinding
from sessions.measurements.selectors.circumferences import circumferences_evaluated
from sessions.measurements.serializers.body import (
    CircumferencesInputSerializer,
    CircumferencesOutputSerializer,
    PostureFindingInputSerializer,
    PostureFindingOutputSerializer,
    serialize_circumferences,
)
from sessions.measurements.serializers.fields import EnteredInErrorInputSerializer
from sessions.measurements.services import (
    circumferences_enter_in_error,
    circumferences_record,
    posture_enter_in_error,
    posture_record,
    rater_or_caller,
)


@extend_schema_view(
    get=endpoint(
        "List a client's posture findings",
        response=PostureFindingOutputSerializer(many=True),
        errors=(404,),
        tags=["range of motion"],
    ),
    post=endpoint(
        "Record a posture finding",
        request=PostureFindingInputSerializer,
        response=PostureFindingOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class PostureFindingListView(ClientRecordView, ListView):
    """A client's posture over time."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = PostureFindingOutputSerializer
    order = ("-observed_at", "-id")

    def get_queryset(self) -> Any:
        """Hers."""
        return PostureFinding.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.read_client(request, client_id, "posture")
        return self.list_response(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new finding; it answers the open re-checks that it does."""
        self.check_visible(request, client_id)
        given = PostureFindingInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda uow: _posture_response(uow, client_id, given, match), status=201
        )


def _posture_response(
    uow: UnitOfWork, client_id: UUID, given: dict[str, Any], match: int | None
) -> CommandResponse:
    at = resolve_occurred_at(uow, client_id, given.get("occurred_at"), given.get("session_id"))
    who = rater_or_caller(uow, given.get("observer_id"), "observer_id")
    posture = RecordPosture(**{**given, "occurred_at": at, "observer_id": who})
    outcome = posture_record(uow, client_id=client_id, posture=posture, if_match=match)
    row = PostureFinding.objects.get(pk=outcome.first(PostureRecorded).finding_id)
    return CommandResponse(PostureFindingOutputSerializer(row).data, version=outcome.version)


@extend_schema_view(
    post=endpoint(
        "Mark a posture finding as entered in error",
        request=EnteredInErrorInputSerializer,
        status=204,
        errors=(404, 409),
        idempotency="optional",
        tags=["range of motion"],
    )
)
class PostureFindingInErrorView(ClientRecordView):
    """A posture finding that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, finding_id: UUID) -> Any:
        """Take it out of the clinical view."""
        self.check_visible(request, client_id)
        reason = EnteredInErrorInputSerializer.checked(request.data)["reason"]

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = posture_enter_in_error(
                uow, client_id=client_id, finding_id=finding_id, reason=reason
            )
            return CommandResponse(None, status=204, version=outcome.version)

        return self.command(request, execute, status=204)


@extend_schema_view(
    get=endpoint(
        "List a client's arm girths with what they say",
        response=CircumferencesOutputSerializer(many=True),
        errors=(404,),
        description="Newest first. Volume by stacked cones; relative volume change where a "
        "baseline and one-sided risk exist.",
        tags=["range of motion"],
    ),
    post=endpoint(
        "Record the girths of both arms",
        request=CircumferencesInputSerializer,
        response=CircumferencesOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class CircumferencesListView(ClientRecordView):
    """A client's arm girths over time."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}

    def get(self, request: Request, client_id: UUID) -> Response:
        """All of them, newest first."""
        role = self.read_client(request, client_id, "circumferences").role
        rows = [
            serialize_circumferences(role, one, evaluated)
            for one, evaluated in circumferences_evaluated(client_id)
        ]
        return Response(CircumferencesOutputSerializer(rows, many=True).data)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new set."""
        self.check_visible(request, client_id)
        given = CircumferencesInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda uow: _circumferences_response(uow, client_id, given, match), status=201
        )


def _circumferences_response(
    uow: UnitOfWork, client_id: UUID, given: dict[str, Any], match: int | None
) -> CommandResponse:
    at = resolve_occurred_at(uow, client_id, given.get("occurred_at"), given.get("session_id"))
    both = {"left": tuple(given["left"]), "right": tuple(given["right"])}
    who = rater_or_caller(uow, given.get("rater_id"))
    circumferences = RecordCircumferences(**{**given, **both, "occurred_at": at, "rater_id": who})
    outcome = circumferences_record(
        uow, client_id=client_id, circumferences=circumferences, if_match=match
    )
    made = outcome.first(CircumferencesMeasured).circumferences_id
    found = next(
        one
        for one in circumferences_evaluated(client_id)
        if one[0].measured.circumferences_id == made
    )
    return CommandResponse(
        CircumferencesOutputSerializer(serialize_circumferences(uow.actor.role, *found)).data,
        version=outcome.version,
    )


@extend_schema_view(
    post=endpoint(
        "Mark girths as entered in error",
        request=EnteredInErrorInputSerializer,
        status=204,
        errors=(404, 409),
        idempotency="optional",
        tags=["range of motion"],
    )
)
class CircumferencesInErrorView(ClientRecordView):
    """Girths that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, circumferences_id: UUID) -> Any:
        """Take them out of the clinical view."""
        self.check_visible(request, client_id)
        reason = EnteredInErrorInputSerializer.checked(request.data)["reason"]

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = circumferences_enter_in_error(
                uow, client_id=client_id, circumferences_id=circumferences_id, reason=reason
            )
            return CommandResponse(None, status=204, version=outcome.version)

        return self.command(request, execute, status=204)
