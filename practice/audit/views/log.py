"""Checks of the log and of the read tables."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.audit.comparison_tasks import compare_directly, comparison_get, comparison_start
from practice.audit.rendering import serialize_comparison
from practice.audit.serializers import (
    LogComparisonOutputSerializer,
    LogComparisonTaskOutputSerializer,
    LogVerificationOutputSerializer,
)
from practice.audit.verification import verify_log
from practice.http.base_views import ApiView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY


class LogVerificationView(ApiView):
    """The same as `manage.py verify_log`."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "Check the log against its chain and digests, and what is sealed beside it",
        response=LogVerificationOutputSerializer,
        description=(
            "Answers how many records and events were checked and a sentence for each that "
            "was changed, is missing or cannot be read; empty `faults` is well. It changes "
            "nothing."
        ),
        tags=["owner"],
    )
    def get(self, request: Request) -> Response:
        """How much was checked and what is wrong."""
        found = verify_log()
        return self.read_response(
            LogVerificationOutputSerializer(
                {
                    "clients": found.streams,
                    "events": found.events,
                    "faults": found.faults,
                    "notes": found.notes,
                }
            ).data
        )


class LogComparisonView(ApiView):
    """The same as `manage.py rebuild --check`."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "Compare every column of every read table with the log",
        response=LogComparisonOutputSerializer,
        errors=(409,),
        description=(
            "Folds the whole log anew and answers how many rows were compared and each that "
            "differs; empty `faults` is well. It writes nothing: `manage.py rebuild` does. "
            "People may work meanwhile. With more clients than the setting "
            "`jobs.direct_check_clients` it is 409: POST /log/comparisons does it then."
        ),
        tags=["owner"],
    )
    def get(self, request: Request) -> Response:
        """How much was compared and what differs."""
        found = compare_directly()
        return self.read_response(
            LogComparisonOutputSerializer(
                {
                    "clients": found.streams,
                    "events": found.events,
                    "rows": found.rows,
                    "faults": found.differences,
                }
            ).data
        )


class LogComparisonsView(CommandView):
    """Comparisons of a large log."""

    post = Command(
        "Start comparing every read table of a large log with it",
        tag="owner",
        roles=OWNER_ONLY,
        output=LogComparisonTaskOutputSerializer,
        status=202,
        execute=comparison_start,
        render=lambda _uow, task: serialize_comparison(task),
        description="A worker does it while people work; GET shows how far it is and what it"
        " found. One that is not finished is answered again.",
    )


class LogComparisonTaskView(ApiView):
    """One of them."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "How far a comparison is and what it found",
        response=LogComparisonTaskOutputSerializer,
        errors=(404,),
        description="How many of the clients were compared so far. Once it is finished: rows, and "
        "each row or job that differs from the log; empty `faults` is well.",
        tags=["owner"],
    )
    def get(self, request: Request, comparison_id: UUID) -> Response:
        """Its progress, and the result when it is finished."""
        return self.read_response(serialize_comparison(comparison_get(comparison_id)))
