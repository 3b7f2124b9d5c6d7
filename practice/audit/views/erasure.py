"""Erasure of a record: ordered by the owner, agreed to by a second person."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.audit import services
from practice.audit.domain.state import ERASURE
from practice.audit.rendering import render_erasure, serialize_erasure
from practice.audit.serializers import ErasureInputSerializer, ErasureOutputSerializer
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, OWNER_ONLY
from practice.work import loading
from practice.work.visibility import require_visible


class ErasureView(CommandView):
    """The order to erase a record."""

    roles = {"GET": CLINICAL}

    @endpoint(
        "Where the erasure of a record stands",
        response=ErasureOutputSerializer,
        errors=(404,),
        description=(
            "None, ordered, closed, or the key destroyed; by whom and when, until when the "
            "record is to be kept, and what stands open before it can go."
        ),
        tags=["owner"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """None, ordered, closed, or the key destroyed."""
        require_visible(self.actor(request), client_id)
        status = loading.load_states(client_id, (ERASURE,))[ERASURE]
        self.log_read(request, client_id, "erasure")
        return self.read_response(serialize_erasure(client_id, status))

    post = Command(
        "Order the erasure of a record",
        tag="owner",
        roles=OWNER_ONLY,
        input=ErasureInputSerializer,
        output=ErasureOutputSerializer,
        errors=(404, 409),
        execute=services.erasure_order,
        render=render_erasure,
        description="A second person must agree before anything is erased. `warnings` name what"
        " stands open. Before the retention has passed it takes `before_retention: true`.",
    )
    delete = Command(
        "Take the order back",
        tag="owner",
        roles=OWNER_ONLY,
        output=ErasureOutputSerializer,
        errors=(404, 409),
        execute=services.erasure_withdraw,
        render=render_erasure,
        description=(
            "Possible until the second person has agreed; then the record is closed and the "
            "order stands (409). What was ordered, by whom and when stays in the history."
        ),
    )


class ErasureApprovalView(CommandView):
    """The second person's word."""

    post = Command(
        "Agree to the erasure of a record, as the second person",
        tag="owner",
        roles=CLINICAL,
        output=ErasureOutputSerializer,
        errors=(404, 409),
        execute=services.erasure_approve,
        render=render_erasure,
        description=(
            "Another owner; in a practice with one owner a practitioner who sees the "
            "client; never the one who ordered it (409). The record is closed at once, its "
            "data key destroyed soon after. Cannot be undone."
        ),
    )
