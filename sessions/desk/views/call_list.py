"""The call list: everything to call about, in one place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.calls.selectors import CallEntry, CallRows, call_rows
from clients.identity.selectors import no_clients
from practice.clock import clock
from practice.http.base_views import ListView
from practice.http.openapi import endpoint
from practice.http.pagination import CursorPages
from practice.http.roles import CARE
from sessions.desk.selectors.call_list import shown_calls
from sessions.desk.serializers.call_list import (
    CallEntryOutputSerializer,
    CallListQuerySerializer,
)


class CallPages(CursorPages):
    """Pages over rows of several tables."""

    def beyond(self, rows: CallRows, order: Sequence[str], values: Sequence[Any]) -> CallRows:
        """Those after a row, whichever table it is of."""
        return rows.after(*values)


@extend_schema_view(
    get=endpoint(
        "List whom to call",
        response=CallEntryOutputSerializer(many=True),
        query=CallListQuerySerializer,
        description="Re-checks that are due, reminders that were not sent, sessions that narrowed, "
        "consents that end: each with phone, reason in plain words and the last call, soonest "
        "first. What the client was told is hidden until it stands anew, what is to be called "
        "again until its time. Of clients whom the caller sees; each counts as read.",
        tags=["calls"],
    )
)
class CallListView(ListView):
    """Whom to call, and why."""

    roles = {"GET": CARE}
    query_form = CallListQuerySerializer
    pagination_class = CallPages
    order = ("call_by", "reason", "about")
    queryset = no_clients()  # What the description of the API is made from.

    def get_queryset(self) -> Any:
        """What is to be called about now."""
        return call_rows(self.actor(self.request), clock.now(), **self.query(self.request))

    def serialize_rows(self, request: Request, rows: list[CallEntry]) -> Any:
        """With names and phones; everyone on the page is read (ruling 62)."""
        self.log_reads(request, (row.client_id for row in rows), "call list")
        return CallEntryOutputSerializer(shown_calls(rows, clock.now()), many=True).data
