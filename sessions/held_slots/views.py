"""Times that are held for evaluations: read by all staff, kept by the desk and the owner."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, DESK
from sessions.held_slots import services
from sessions.held_slots.filters import HeldSlotFilter
from sessions.held_slots.models import HeldSlot
from sessions.held_slots.selectors import held_slot_get, held_slot_list
from sessions.held_slots.serializers import HeldSlotSerializer


@extend_schema_view(
    get=endpoint(
        "List the times held for evaluations",
        response=HeldSlotSerializer(many=True),
        description="At facilities that the caller sees: of whom, when, and until how long before "
        "they are held.",
        tags=["sessions"],
    )
)
class HeldSlotListView(CommandView, ListView):
    """Held slots of the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = HeldSlotSerializer
    filterset_class = HeldSlotFilter
    order = ("facility_id", "id")

    def get_queryset(self) -> QuerySet[HeldSlot]:
        """Those at my facilities."""
        return held_slot_list(self.actor(self.request))

    post = Command(
        "Hold a time for evaluations",
        tag="sessions",
        roles=DESK,
        input=HeldSlotSerializer,
        output=HeldSlotSerializer,
        status=201,
        errors=(404,),
        execute=services.held_slot_add,
        render=row_renderer(HeldSlotSerializer),
        description="Open times offer it for evaluations alone until it is released; another "
        "purpose is 409 `closed_then` unless `overrule` says why. Sessions that are booked in it "
        "stay.",
    )


class HeldSlotDetailView(CommandView):
    """One held slot."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a time held for evaluations",
        response=HeldSlotSerializer,
        errors=(404,),
        description="Whose, where, when and until how long before. Its revision, for `If-Match`, "
        "is the ETag.",
        tags=["sessions"],
    )
    def get(self, request: Request, held_slot_id: UUID) -> Response:
        """The held slot with its revision as ETag."""
        row = held_slot_get(self.actor(request), held_slot_id)
        return self.read_response(HeldSlotSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a time held for evaluations",
        tag="sessions",
        roles=DESK,
        input=HeldSlotSerializer,
        example={"release_hours": 24},
        partial=True,
        output=HeldSlotSerializer,
        errors=(404,),
        if_match="required",
        execute=services.held_slot_change,
        render=row_renderer(HeldSlotSerializer),
        description="Fields left out stay; whose it is and where stays too.",
    )
    delete = Command(
        "Hold a time no more",
        tag="sessions",
        roles=DESK,
        errors=(404,),
        execute=services.held_slot_give_back,
        description="It is anybody's from now on. The history of changes keeps the row.",
    )
