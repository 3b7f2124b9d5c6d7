"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view

from practice.audit.filters import JobFilter
from practice.audit.serializers import (
    JobOutputSerializer,
)
from practice.http.base_views import ListView
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from practice.jobs.selectors import scheduled_jobs


@extend_schema_view(
    get=endpoint(
        "List work that falls due by itself: waiting, done, given up",
        response=JobOutputSerializer(many=True),
        description=(
            "Re-checks, reminders, re-evaluations and erasures as jobs, by the time at "
            "which they are due, each with how often it was tried and the kind of the last "
            "failure."
        ),
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
        return scheduled_jobs()
