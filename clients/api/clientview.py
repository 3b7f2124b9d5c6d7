"""What every view of one client does: see that the caller may see the client, log the read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from clients.selectors import client_get
from practice.api.views import Answer, ApiView
from practice.domain.decisions import Actor
from practice.domain.terms import Role
from practice.eventlog import loading
from practice.eventlog.runner import Outcome, Work

Show = Callable[[UUID, int], dict[str, Any]]


class ClientView(ApiView):
    """A view below one client; a client that the caller does not see is 404.

    ``read`` and ``change`` show by ``form``; a view with an answer of its own asks ``seen``
    or ``opened`` first.
    """

    form: Any = None

    def role(self, request: Request) -> Role:
        """The caller's role."""
        return self.actor(request).role

    def seen(self, request: Request, client_id: UUID) -> Actor:
        """The caller, who was found to see the client."""
        actor = self.actor(request)
        client_get(actor, client_id)
        return actor

    def opened(self, request: Request, client_id: UUID, what: str) -> Actor:
        """The caller, who was found to see the client; the read is logged."""
        actor = self.seen(request, client_id)
        self.log_read(request, client_id, what)
        return actor

    def read(self, request: Request, client_id: UUID, what: str, show: Show) -> Response:
        """Show a part of the record and log that it was read."""
        self.seen(request, client_id)
        version = loading.version_of(client_id)
        data = self.form(show(client_id, version)).data
        self.log_read(request, client_id, what)
        return self.shown(data, version=version)

    def change(
        self,
        request: Request,
        client_id: UUID,
        act: Callable[[Work], Outcome],
        show: Show,
        *,
        status: int = 200,
    ) -> HttpResponse:
        """Change the record and show what stands now."""
        self.seen(request, client_id)

        def answer(work: Work) -> Answer:
            version = act(work).version
            return Answer(self.form(show(client_id, version)).data, status, version)

        return self.command(request, answer, status=status)
