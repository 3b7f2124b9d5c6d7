"""Posture findings and arm girths."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from practice.api.describe import described
from practice.api.roles import CLINICAL
from practice.api.views import Answer, ListView
from practice.eventlog.runner import Work
from sessions.api.forms.motion import (
    GirthsForm,
    GirthsIn,
    InError,
    PostureForm,
    PostureIn,
    shown_girths,
)
from sessions.domain.motion.commands import FindPosture, MeasureGirths
from sessions.domain.motion.events import GirthsMeasured, PostureFound
from sessions.models import PostureFinding
from sessions.selectors.motion import girths_judged
from sessions.services.motion import (
    girths_enter_in_error,
    girths_record,
    posture_enter_in_error,
    posture_record,
    rater,
)
from sessions.services.zones import when


@extend_schema_view(
    get=described(
        "List a client's posture findings",
        gives=PostureForm(many=True),
        refuses=(404,),
        tags=["range of motion"],
    ),
    post=described(
        "Record a posture finding",
        takes=PostureIn,
        gives=PostureForm,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class Postures(ClientView, ListView):
    """A client's posture over time."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}
    serializer_class = PostureForm
    order = ("-seen_at", "-id")

    def get_queryset(self) -> Any:
        """Hers."""
        return PostureFinding.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page."""
        self.opened(request, client_id, "posture")
        return self.listed(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new finding; it answers the open re-checks that it does."""
        self.seen(request, client_id)
        given = PostureIn.checked(request.data)
        match = self.if_match(request)
        return self.command(request, lambda work: _found(work, client_id, given, match), status=201)


def _found(work: Work, client_id: UUID, given: dict[str, Any], match: int | None) -> Answer:
    at = when(work, client_id, given.get("at"), given.get("session_id"))
    who = rater(work, given.get("observer_id"), "observer_id")
    posture = FindPosture(**{**given, "at": at, "observer_id": who})
    outcome = posture_record(work, client_id=client_id, posture=posture, if_match=match)
    row = PostureFinding.objects.get(pk=outcome.first(PostureFound).finding_id)
    return Answer(PostureForm(row).data, version=outcome.version)


@extend_schema_view(
    post=described(
        "Mark a posture finding as entered in error",
        takes=InError,
        status=204,
        refuses=(404, 409),
        idempotency="optional",
        tags=["range of motion"],
    )
)
class PostureInError(ClientView):
    """A posture finding that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, finding_id: UUID) -> Any:
        """Take it out of the clinical view."""
        self.seen(request, client_id)
        reason = InError.checked(request.data)["reason"]

        def act(work: Work) -> Answer:
            outcome = posture_enter_in_error(
                work, client_id=client_id, finding_id=finding_id, reason=reason
            )
            return Answer(None, status=204, version=outcome.version)

        return self.command(request, act, status=204)


@extend_schema_view(
    get=described(
        "List a client's arm girths with what they say",
        gives=GirthsForm(many=True),
        refuses=(404,),
        description="Newest first. Volume by stacked cones; relative volume change where a "
        "baseline and one-sided risk exist.",
        tags=["range of motion"],
    ),
    post=described(
        "Record the girths of both arms",
        takes=GirthsIn,
        gives=GirthsForm,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["range of motion"],
    ),
)
class ArmGirths(ClientView):
    """A client's arm girths over time."""

    roles = {"GET": CLINICAL, "POST": CLINICAL}

    def get(self, request: Request, client_id: UUID) -> Response:
        """All of them, newest first."""
        role = self.opened(request, client_id, "girths").role
        rows = [shown_girths(role, one, judged) for one, judged in girths_judged(client_id)]
        return Response(GirthsForm(rows, many=True).data)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new set."""
        self.seen(request, client_id)
        given = GirthsIn.checked(request.data)
        match = self.if_match(request)
        return self.command(
            request, lambda work: _measured(work, client_id, given, match), status=201
        )


def _measured(work: Work, client_id: UUID, given: dict[str, Any], match: int | None) -> Answer:
    at = when(work, client_id, given.get("at"), given.get("session_id"))
    both = {"left": tuple(given["left"]), "right": tuple(given["right"])}
    who = rater(work, given.get("rater_id"))
    girths = MeasureGirths(**{**given, **both, "at": at, "rater_id": who})
    outcome = girths_record(work, client_id=client_id, girths=girths, if_match=match)
    made = outcome.first(GirthsMeasured).girths_id
    found = next(one for one in girths_judged(client_id) if one[0].measured.girths_id == made)
    return Answer(GirthsForm(shown_girths(work.actor.role, *found)).data, version=outcome.version)


@extend_schema_view(
    post=described(
        "Mark girths as entered in error",
        takes=InError,
        status=204,
        refuses=(404, 409),
        idempotency="optional",
        tags=["range of motion"],
    )
)
class GirthsInError(ClientView):
    """Girths that must not count."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID, girths_id: UUID) -> Any:
        """Take them out of the clinical view."""
        self.seen(request, client_id)
        reason = InError.checked(request.data)["reason"]

        def act(work: Work) -> Answer:
            outcome = girths_enter_in_error(
                work, client_id=client_id, girths_id=girths_id, reason=reason
            )
            return Answer(None, status=204, version=outcome.version)

        return self.command(request, act, status=204)
