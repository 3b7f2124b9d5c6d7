"""A client asks what is on record: one request makes it, as data and to be printed."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from rest_framework.request import Request
from rest_framework.response import Response

from billing.record_requests.rendering import render_page, render_reference, serialize_copy
from billing.record_requests.selectors import check_allowed, record_copy
from billing.record_requests.serializers import (
    RecordCopyOutputSerializer,
    RecordRequestInputSerializer,
    RecordRequestReferenceOutputSerializer,
)
from billing.record_requests.services import record_request
from clients.identity.client_views import ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.renderers import HtmlRenderer
from practice.http.roles import DESK


class RecordRequestListView(ClientRecordView):
    """What is on record, for the client."""

    post = Command(
        "Give a client what is on record",
        tag="history",
        roles=DESK,
        input=RecordRequestInputSerializer,
        output=RecordRequestReferenceOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=record_request,
        render=render_reference,
        description="Logged as a disclosure to the client with the SHA-256 of what is given; the "
        "answer says where to read and print it. It holds all of the record, health included: 403 "
        "for a role that the practice does not name in `record_requests.roles`.",
    )


class RecordRequestView(ClientRecordView):
    """What was given, as data."""

    roles = {"GET": DESK}

    @endpoint(
        "Read what a client was given",
        response=RecordCopyOutputSerializer,
        errors=(404,),
        description="The whole record as it was known when the client asked, told again from the "
        "log, and whether it is still told as it was given.",
        tags=["history"],
    )
    def get(self, request: Request, client_id: UUID, record_request_id: UUID) -> Response:
        """As it was then. Raises Rejected 403 for a role that may not."""
        check_allowed(self.actor(request))
        copy = record_copy(client_id, record_request_id)
        self.log_read(request, client_id, "copy of the record")
        return self.read_response(serialize_copy(copy))


class RecordRequestPrintoutView(ClientRecordView):
    """What was given, as a page."""

    roles = {"GET": DESK}
    renderer_classes = (HtmlRenderer,)

    @endpoint(
        "Print what a client was given",
        response={(200, "text/html"): OpenApiTypes.STR},
        errors=(404,),
        description="A page to hand over: everything that happened in a sentence each, by whom it "
        "was recorded, then all that is on record, as it was when the client asked.",
        tags=["history"],
    )
    def get(self, request: Request, client_id: UUID, record_request_id: UUID) -> HttpResponse:
        """As it was then. Raises Rejected 403 for a role that may not."""
        check_allowed(self.actor(request))
        copy = record_copy(client_id, record_request_id)
        self.log_read(request, client_id, "copy of the record")
        return HttpResponse(render_page(copy), content_type="text/html; charset=utf-8")
