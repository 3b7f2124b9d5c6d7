"""What views under a client share: who may see her, and the log of reads."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request

from clients.selectors import client_get
from practice.api.views import ApiView
from practice.domain.decisions import Actor


class ClientView(ApiView):
    """A view of one client's clinical record."""

    def opened(self, request: Request, client_id: UUID, what: str) -> Actor:
        """The caller, once she was found to see the client; the read is logged."""
        actor = self.actor(request)
        client_get(actor, client_id)
        self.log_read(request, client_id, what)
        return actor

    def seen(self, request: Request, client_id: UUID) -> Actor:
        """The caller of a command, once she was found to see the client."""
        actor = self.actor(request)
        client_get(actor, client_id)
        return actor
