"""What every view of one client does: see that the caller may see the client, log the read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.selectors import client_get
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.http.views import ApiView, CommandResponse
from practice.work import loading
from practice.work.unit_of_work import Outcome, UnitOfWork

Serialize = Callable[[UUID, int], dict[str, Any]]


class ClientRecordView(ApiView):
    """A view below one client; a client that the caller does not see is 404.

    ``read`` and ``change`` show by ``form``; a view with an answer of its own asks ``seen``
    or ``opened`` first.
    """

    output_serializer: Any = None

    def role(self, request: Request) -> Role:
        """The caller's role."""
        return self.actor(request).role

    def check_visible(self, request: Request, client_id: UUID) -> Actor:
        """The caller, who was found to see the client."""
        actor = self.actor(request)
        client_get(actor, client_id)
        return actor

    def read_client(self, request: Request, client_id: UUID, what: str) -> Actor:
        """The caller, who was found to see the client; the read is logged."""
        actor = self.check_visible(request, client_id)
        self.log_read(request, client_id, what)
        return actor

    def read(self, request: Request, client_id: UUID, what: str, serialize: Serialize) -> Response:
        """Show a part of the record and log that it was read."""
        self.check_visible(request, client_id)
        version = loading.stream_version(client_id)
        data = self.output_serializer(serialize(client_id, version)).data
        self.log_read(request, client_id, what)
        return self.read_response(data, version=version)

    def change(
        self,
        request: Request,
        client_id: UUID,
        execute: Callable[[UnitOfWork], Outcome],
        serialize: Serialize,
        *,
        status: int = 200,
    ) -> HttpResponse:
        """Change the record and show what stands now."""
        self.check_visible(request, client_id)

        def execute_and_render(uow: UnitOfWork) -> CommandResponse:
            version = execute(uow).version
            return CommandResponse(
                self.output_serializer(serialize(client_id, version)).data, status, version
            )

        return self.command(request, execute_and_render, status=status)
