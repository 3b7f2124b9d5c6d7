"""Calls to a client: what came of each."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.calls.models import Call
from clients.calls.rendering import render_call, with_callers
from clients.calls.selectors import calls_of
from clients.calls.serializers import CallInputSerializer, CallOutputSerializer
from clients.calls.services import call_record
from clients.identity.client_views import ClientRecordListView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE


@extend_schema_view(
    get=endpoint(
        "List the calls to a client",
        response=CallOutputSerializer(many=True),
        errors=(404,),
        description="Each with who made it, the things that it was about, its outcome, when to try "
        "again and the note; the latest first. They stay when the call list has let go of them.",
        tags=["calls"],
    )
)
class CallListView(ClientRecordListView):
    """The calls to one client."""

    roles = {"GET": CARE}
    logged_as = "calls"
    order = ("-called_at", "id")

    def get_queryset(self) -> QuerySet[Call]:
        return calls_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With the names of who called."""
        return CallOutputSerializer(with_callers(rows), many=True).data

    post = Command(
        "Record what came of a call",
        tag="calls",
        roles=CARE,
        input=CallInputSerializer,
        output=CallOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=call_record,
        render=render_call,
        description="`reached`: what it was about leaves the call list, and comes back only if it "
        "stands anew. `left_message` and `no_answer`: it stays with this outcome beside it, or is "
        "hidden until `again_at`. `call_again`: hidden until then.",
    )
