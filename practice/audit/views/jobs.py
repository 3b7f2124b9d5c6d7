"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.audit.serializers import (
    JobOutputSerializer,
)
from practice.eventstore.models import StreamHead
from practice.http.base_views import ListView
from practice.http.filters import ChoiceFilter, FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from practice.jobs.handlers import job_kinds
from practice.jobs.models import ScheduledJob


class JobFilter(FilterSet):
    """Filters of jobs: by state and kind."""

    status = ChoiceFilter(choices=ScheduledJob.Status.choices, help_text="e.g. `given_up`.")
    kind = ChoiceFilter(
        choices=lambda: [(kind, kind) for kind in job_kinds()],
        help_text="One kind, e.g. `recheck`.",
    )

    class Meta:
        model = ScheduledJob
        fields = ("status", "kind")


@extend_schema_view(
    get=endpoint(
        "List work that falls due by itself: waiting, done, given up",
        response=JobOutputSerializer(many=True),
        tags=["owner"],
    )
)
class JobListView(ListView):
    """Jobs waiting, done and given up, by time."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = JobOutputSerializer
    filterset_class = JobFilter
    order = ("due_at", "id")

    def get_queryset(self) -> Any:
        return ScheduledJob.objects.all()

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With a read of each client logged whom a job is about."""
        subjects = StreamHead.objects.filter(stream__in={row.subject for row in rows})
        self.log_reads(request, subjects.values_list("stream", flat=True), "jobs")
        return super().serialize_rows(request, rows)
