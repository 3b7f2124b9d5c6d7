"""What every resource of one client does: see that she may be seen, log the read, answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from clients.selectors import client_get
from practice.api.views import Answer, ApiView
from practice.domain.terms import Role
from practice.eventlog import loading
from practice.eventlog.runner import Outcome, Work

Show = Callable[[UUID, int], dict[str, Any]]


class OfClient(ApiView):
    """A resource below one client; a client that the caller does not see is 404."""

    form: Any = None

    def role(self, request: Request) -> Role:
        """The caller's role."""
        return self.actor(request).role

    def read(self, request: Request, client_id: UUID, what: str, show: Show) -> Response:
        """Show a part of the record and log that it was read."""
        client_get(self.actor(request), client_id)
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
        client_get(self.actor(request), client_id)

        def answer(work: Work) -> Answer:
            version = act(work).version
            return Answer(self.form(show(client_id, version)).data, status, version)

        return self.command(request, answer, status=status)
