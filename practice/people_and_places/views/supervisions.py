"""Who supervises whom on a day."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.people_and_places.filters import SupervisionFilter
from practice.people_and_places.rendering import render_changed_supervision
from practice.people_and_places.selectors.facilities import supervision_get, visible_supervisions
from practice.people_and_places.serializers.people import (
    SupervisionChangedOutputSerializer,
    SupervisionChangeInputSerializer,
    SupervisionEndInputSerializer,
    SupervisionEndOutputSerializer,
    SupervisionSerializer,
)
from practice.people_and_places.services import practitioners as services
from practice.people_and_places.services.supervisions import supervision_change


@extend_schema_view(
    get=endpoint(
        "List supervisions",
        response=SupervisionSerializer(many=True),
        description=(
            "Who supervised whom, where, on which local day, the latest first, at "
            "facilities that the caller sees. What a law allows only under supervision "
            "rests on these."
        ),
        tags=["people"],
    )
)
class SupervisionListView(CommandView, ListView):
    """Supervisions at the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    serializer_class = SupervisionSerializer
    filterset_class = SupervisionFilter
    order = ("-day", "id")

    def get_queryset(self) -> Any:
        """Those at my facilities."""
        return visible_supervisions(self.actor(self.request))

    post = Command(
        "Name who supervises whom on a day",
        tag="people",
        roles=OWNER_ONLY,
        input=SupervisionSerializer,
        output=SupervisionSerializer,
        status=201,
        errors=(409,),
        execute=services.supervision_add,
        render=row_renderer(SupervisionSerializer),
        description="409 `credential_does_not_supervise` by the setting"
        " `supervision.may_supervise`; 409 `supervision_in_a_circle` where the supervisor works"
        " that day under the other.",
    )


class SupervisionDetailView(CommandView):
    """One supervision of a practitioner by another."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a supervision",
        response=SupervisionSerializer,
        errors=(404,),
        description="Who supervises whom, where, on which local day, and whether they co-sign. Its"
        " revision, for `If-Match`, is the ETag.",
        tags=["people"],
    )
    def get(self, request: Request, supervision_id: UUID) -> Response:
        """The supervision with its revision as ETag."""
        row = supervision_get(self.actor(request), supervision_id)
        return self.read_response(SupervisionSerializer(row).data, version=row.revision)

    patch = Command(
        "Have the supervisor co-sign, or no more",
        tag="people",
        roles=OWNER_ONLY,
        input=SupervisionChangeInputSerializer,
        output=SupervisionChangedOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=supervision_change,
        render=render_changed_supervision,
        description="It counts for notes that are signed from now on; `notes` says which are not"
        " signed yet, and which of the signed ones stay as they are: what waits for a co-signature"
        " waits on. The history of changes keeps what stood and why. 409 `nothing_changed` for"
        " what stands already.",
    )
    delete = Command(
        "Take a supervision back",
        tag="people",
        roles=OWNER_ONLY,
        errors=(404, 409),
        execute=services.supervision_remove,
        description="Take it back; future sessions are re-evaluated. 409 `supervision_in_use` where"
        " a signed note rests on it, naming the note.",
    )


class SupervisionEndingView(CommandView):
    """A practitioner's supervision at a facility ends."""

    post = Command(
        "End a supervision from a day on",
        tag="people",
        roles=OWNER_ONLY,
        input=SupervisionEndInputSerializer,
        output=SupervisionEndOutputSerializer,
        errors=(404, 409),
        execute=services.supervision_end,
        render=lambda _uow, days: {"days": days},
        description=(
            "Days before it stay, and what rests on them; the answer names the days that "
            "are no longer supervised. Sessions to come are evaluated again."
        ),
    )
