"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from typing import Any

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.accesslog.models import AccessEntry
from practice.accesslog.services import asked_for
from practice.audit.serializers import (
    AccessEntryOutputSerializer,
)
from practice.http.base_views import ListView
from practice.http.filters import ChoiceFilter, FilterSet, InstantFilter
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY


class AccessLogFilter(FilterSet):
    """Filters of the log of reads and refusals."""

    client_id = django_filters.UUIDFilter(help_text="Entries about one client.")
    staff_id = django_filters.UUIDFilter(help_text="Entries of one account.")
    outcome = ChoiceFilter(choices=AccessEntry.Outcome.choices, help_text="`read` or `refused`.")
    since = InstantFilter(
        "occurred_at", "gte", help_text="From this instant on, e.g. `2026-03-09T00:00:00Z`."
    )
    until = InstantFilter("occurred_at", "lte", help_text="Up to this instant.")

    class Meta:
        model = AccessEntry
        fields = ("client_id", "staff_id", "outcome")


@extend_schema_view(
    get=endpoint(
        "List who read a client's record and who was refused",
        response=AccessEntryOutputSerializer(many=True),
        tags=["owner"],
    )
)
class AccessLogView(ListView):
    """Reads and refusals, newest first."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = AccessEntryOutputSerializer
    filterset_class = AccessLogFilter
    order = ("-id",)

    def get_queryset(self) -> Any:
        return AccessEntry.objects.all()

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With a read of each client logged whom an entry names."""
        shown = self.get_serializer(
            [{**vars(row), "asked": asked_for(row)} for row in rows], many=True
        ).data
        named = (row.client_id for row in rows if row.client_id is not None)
        self.log_reads(request, named, "log of reads")
        return shown
