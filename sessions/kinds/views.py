"""Kinds of session: read by all staff, kept by the owner."""

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
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from sessions.kinds.filters import SessionKindFilter
from sessions.kinds.models import SessionKind
from sessions.kinds.selectors import kind_get, kind_list
from sessions.kinds.serializers import SessionKindSerializer
from sessions.kinds.services import kind_add, kind_change


@extend_schema_view(
    get=endpoint(
        "List the kinds of session",
        response=SessionKindSerializer(many=True),
        description="What the practice offers: purpose, lengths, buffers, whether hands-on and in "
        "a private room. Those out of use stay, with `is_active` false.",
        tags=["sessions"],
    )
)
class SessionKindListView(CommandView, ListView):
    """The practice's kinds of session."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = SessionKindSerializer
    filterset_class = SessionKindFilter
    order = ("name", "id")

    def get_queryset(self) -> QuerySet[SessionKind]:
        """All of them."""
        return kind_list()

    post = Command(
        "Add a kind of session",
        tag="sessions",
        roles=OWNER_ONLY,
        input=SessionKindSerializer,
        output=SessionKindSerializer,
        status=201,
        errors=(409,),
        execute=kind_add,
        render=row_renderer(SessionKindSerializer),
        description="From now on a booking may name it by `kind_id`: length, purpose and, where it "
        "is self-directed by nature, the mode follow from it; open times keep its buffers free. "
        "409 where there is one of that name.",
    )


class SessionKindDetailView(CommandView):
    """One kind of session."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a kind of session",
        response=SessionKindSerializer,
        errors=(404,),
        description="With its lengths and buffers, in use or not. Its revision, for `If-Match`, is "
        "the ETag.",
        tags=["sessions"],
    )
    def get(self, request: Request, kind_id: UUID) -> Response:
        """The kind with its revision as ETag."""
        row = kind_get(kind_id)
        return self.read_response(SessionKindSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a kind of session",
        tag="sessions",
        roles=OWNER_ONLY,
        input=SessionKindSerializer,
        example={"buffer_after": 15},
        partial=True,
        output=SessionKindSerializer,
        errors=(404, 409),
        if_match="required",
        execute=kind_change,
        render=row_renderer(SessionKindSerializer),
        description="Fields left out stay. Sessions that are booked as it keep the buffers of "
        "their booking. `is_active` false takes it out of use: it is booked no more.",
    )
