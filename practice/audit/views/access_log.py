"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.accesslog.selectors import access_entries
from practice.accesslog.services import asked_for
from practice.audit.filters import AccessLogFilter
from practice.audit.serializers import (
    AccessEntryOutputSerializer,
)
from practice.http.base_views import ListView
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from practice.people_and_places.selectors.staff import staff_names


@extend_schema_view(
    get=endpoint(
        "List who read a client's record and who was refused",
        response=AccessEntryOutputSerializer(many=True),
        description=(
            "One row for each client whose record was read, or was tried: the member of "
            "staff, the part, the request, and why it was refused. Newest first. A read "
            "answered with 304 stands here too."
        ),
        tags=["owner"],
    )
)
class AccessLogView(ListView):
    """Reads and refusals, newest first."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = AccessEntryOutputSerializer
    filterset_class = AccessLogFilter
    order = ("-occurred_at", "-id")

    def get_queryset(self) -> Any:
        return access_entries()

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With a read of each client logged whom an entry names."""
        names = staff_names(row.staff_id for row in rows if row.staff_id is not None)
        entries = [
            {
                **vars(row),
                "staff_name": names.get(row.staff_id, ""),
                "asked": asked_for(row),
            }
            for row in rows
        ]
        shown = self.get_serializer(entries, many=True).data
        named = (row.client_id for row in rows if row.client_id is not None)
        self.log_reads(request, named, "log of reads")
        return shown
