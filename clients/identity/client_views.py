"""Views below one client: the caller sees the client or gets 404; what is read is logged."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.selectors import require_visible_client
from practice.core.terms import Role
from practice.http.base_views import ListView
from practice.http.commands import CommandView
from practice.http.representations import Representation
from practice.work import loading
from practice.work.unit_of_work import Outcome, UnitOfWork

Serialize = Callable[[Role, UUID, int], Any]
"""Shows a part of a client's record to a role: ``serialize(role, client_id, version)``."""


class ClientRecordView(CommandView):
    """A view below one client; a client that the caller does not see is 404, in every method.

    ``logged_as`` names in the log of reads what a GET shows.
    """

    logged_as: ClassVar[str] = ""

    def client_of(self, **ids: Any) -> UUID:
        """The client whose record the ids of the path lie in."""
        client_id: UUID = ids["client_id"]
        return client_id

    def check_visible(self, request: Request, **ids: Any) -> None:
        """Raises Rejected 404; 410 to the owner where the record was erased."""
        require_visible_client(self.actor(request), self.client_of(**ids))

    def role(self, request: Request) -> Role:
        return self.actor(request).role

    def read(self, request: Request, client_id: UUID, serialize: Serialize) -> Response:
        """Show a part of the record, by its version, and log that it was read."""
        version = loading.stream_version(client_id)
        data = serialize(self.role(request), client_id, version)
        self.log_read(request, client_id, self.logged_as)
        return self.read_response(data, version=version)


class ClientRecordListView(ClientRecordView, ListView):
    """A list below one client; that it was read is logged."""

    def get(self, request: Request, client_id: UUID) -> HttpResponse:
        self.log_read(request, client_id, self.logged_as)
        return self.list_response(request)


def record_renderer(serialize: Serialize) -> Callable[[UnitOfWork, Outcome], Representation]:
    """The renderer of a command that gives a part of the record as it stands after it."""

    def render(uow: UnitOfWork, outcome: Outcome) -> Representation:
        data = serialize(uow.actor.role, outcome.client_id, outcome.version)
        return Representation(data, outcome.version)

    return render
