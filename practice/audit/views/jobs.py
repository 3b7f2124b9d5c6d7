"""Work that falls due by itself, and putting back what was given up."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.audit.filters import JobFilter
from practice.audit.given_up import jobs_put_back
from practice.audit.selectors import clients_among
from practice.audit.serializers import (
    JobOutputSerializer,
    JobsPutBackInputSerializer,
    JobsPutBackOutputSerializer,
)
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
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

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With a read of each client logged whom a job is about."""
        self.log_reads(request, clients_among(row.subject for row in rows), "jobs")
        return super().serialize_rows(request, rows)


class JobsPutBackView(CommandView):
    """The owner's act on what was given up."""

    post = Command(
        "Put back work that was given up",
        tag="owner",
        roles=OWNER_ONLY,
        input=JobsPutBackInputSerializer,
        output=JobsPutBackOutputSerializer,
        errors=(409,),
        execute=jobs_put_back,
        render=lambda _uow, count: {"put_back": count},
        description="Mail that its server did not take for days is tried again from now on. The"
        " history of changes keeps each row with the reason.",
    )
