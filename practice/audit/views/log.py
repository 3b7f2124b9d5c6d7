"""Erasure of a record, the log of reads and refusals, checks of the log, jobs."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from practice.audit import rebuild
from practice.audit.serializers import (
    LogComparisonOutputSerializer,
    LogVerificationOutputSerializer,
)
from practice.audit.verification import verify_log
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY


class LogVerificationView(ApiView):
    """The same as `manage.py verify_log`."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "Check every event of the log against its chain",
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
                }
            ).data
        )


class LogComparisonView(ApiView):
    """The same as `manage.py rebuild --check`."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "Compare every column of every read table with the log",
        response=LogComparisonOutputSerializer,
        description=(
            "Folds the whole log anew and answers how many rows were compared and each that "
            "differs; empty `faults` is well. It writes nothing: `manage.py rebuild` does."
        ),
        tags=["owner"],
    )
    def get(self, request: Request) -> Response:
        """How much was compared and what differs."""
        found = rebuild.compare()
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
