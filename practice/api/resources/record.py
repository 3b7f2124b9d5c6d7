"""Erasure of a record, the log of reads and refusals, checks of the log, due work."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from uuid import UUID

import django_filters
import msgspec
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.forms.record import (
    AccessRow,
    DueRow,
    ErasureForm,
    ErasureState,
    LogCheck,
    TableCheck,
)
from practice.api.roles import CLINICAL, OWNER_ONLY
from practice.api.views import ApiView, GetList
from practice.domain.erasure import CLOSING, Closing
from practice.domain.terms import Role
from practice.due.models import DueItem
from practice.eventlog import erasure, loading, rebuild
from practice.eventlog.models import AccessEntry
from practice.eventlog.runner import Work
from practice.eventlog.verify import verify_log
from practice.models import Staff
from practice.services.leaving import what_stands_open


def _state(closing: Closing) -> str:
    if closing.key_destroyed:
        return "key_destroyed"
    if closing.closed:
        return "closed"
    return "ordered" if closing.order_id else "none"


def _shown(client_id: UUID, closing: Closing) -> Any:
    """The state, and what should be known before it goes on: open business, due work."""
    ahead = [] if closing.closed else what_stands_open(client_id)
    shown = {
        **asdict(closing),
        "state": _state(closing),
        "retained_until": closing.retained_until or erasure.retention_of(client_id),
        "warnings": [msgspec.structs.asdict(one) for one in ahead],
    }
    return ErasureState(shown).data


def _after(work: Work, client_id: UUID) -> Any:
    return _shown(client_id, work.states(client_id, (CLOSING,))[CLOSING])


@extend_schema_view(
    get=described(
        "Where the erasure of a record stands", gives=ErasureState, refuses=(404,), tags=["owner"]
    ),
    post=described(
        "Order the erasure of a record",
        takes=ErasureForm,
        gives=ErasureState,
        refuses=(404, 409),
        idempotency="optional",
        description="A second person must agree before anything is erased. `warnings` name what"
        " stands open. Before the retention has passed it takes `before_retention: true`.",
        tags=["owner"],
    ),
    delete=described("Take the order back", gives=ErasureState, refuses=(404, 409), tags=["owner"]),
)
class Erasure(ApiView):
    """The order to erase a record."""

    roles = {"GET": CLINICAL, "POST": OWNER_ONLY, "DELETE": OWNER_ONLY}

    def get(self, request: Request, client_id: UUID) -> Response:
        """None, ordered, closed, or the key destroyed."""
        return self.shown(_shown(client_id, loading.load(client_id, (CLOSING,))[CLOSING]))

    def post(self, request: Request, client_id: UUID) -> Any:
        """Order it, with the reason."""
        given = ErasureForm.checked(request.data)

        def act(work: Work) -> Any:
            erasure.erasure_order(work, client_id=client_id, **given)
            return _after(work, client_id)

        return self.command(request, act)

    def delete(self, request: Request, client_id: UUID) -> Any:
        """Take it back while that is still possible."""

        def act(work: Work) -> Any:
            erasure.erasure_withdraw(work, client_id=client_id)
            return _after(work, client_id)

        return self.command(request, act)


@extend_schema_view(
    post=described(
        "Agree to the erasure of a record, as the second person",
        gives=ErasureState,
        refuses=(404, 409),
        idempotency="optional",
        description="Another owner; where there is one owner, a practitioner. Cannot be undone.",
        tags=["owner"],
    )
)
class ErasureAgreement(ApiView):
    """The second person's word."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID) -> Any:
        """Close the record; its key is destroyed by the next tick."""

        def act(work: Work) -> Any:
            owners = Staff.objects.filter(role=Role.OWNER, is_active=True).count()
            erasure.erasure_agree(work, client_id=client_id, owners=owners)
            return _after(work, client_id)

        return self.command(request, act)


class AccessFilter(FilterSet):
    """Filters of the log of reads and refusals."""

    client = django_filters.UUIDFilter("client_id", help_text="Entries about one client.")
    staff = django_filters.UUIDFilter("staff_id", help_text="Entries of one account.")
    outcome = django_filters.ChoiceFilter(
        choices=AccessEntry.Outcome.choices, help_text="`read` or `refused`."
    )
    since = django_filters.IsoDateTimeFilter(
        "at", "gte", help_text="From this instant on, e.g. `2026-03-09T00:00:00Z`."
    )
    until = django_filters.IsoDateTimeFilter("at", "lte", help_text="Up to this instant.")

    class Meta:
        model = AccessEntry
        fields = ("client", "staff", "outcome", "since", "until")


@extend_schema_view(
    get=described(
        "List who read a client's record and who was refused",
        gives=AccessRow(many=True),
        tags=["owner"],
    )
)
class AccessLog(GetList):
    """Reads and refusals, newest first."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = AccessRow
    filterset_class = AccessFilter
    order = ("-id",)

    def get_queryset(self) -> Any:
        """All entries."""
        return AccessEntry.objects.all()


@extend_schema_view(
    get=described("Check every event of the log against its chain", gives=LogCheck, tags=["owner"])
)
class LogVerification(ApiView):
    """The same as `manage.py verify_log`."""

    roles = {"GET": OWNER_ONLY}

    def get(self, request: Request) -> Response:
        """How much was checked and what is wrong."""
        found = verify_log()
        return self.shown(
            LogCheck(
                {
                    "clients": found.streams,
                    "events": found.events,
                    "faults": found.faults,
                }
            ).data
        )


@extend_schema_view(
    get=described(
        "Compare every column of every read table with the log", gives=TableCheck, tags=["owner"]
    )
)
class LogComparison(ApiView):
    """The same as `manage.py rebuild --check`."""

    roles = {"GET": OWNER_ONLY}

    def get(self, request: Request) -> Response:
        """How much was compared and what differs."""
        found = rebuild.check()
        return self.shown(
            TableCheck(
                {
                    "clients": found.streams,
                    "events": found.events,
                    "rows": found.rows,
                    "faults": found.differences,
                }
            ).data
        )


class DueFilter(FilterSet):
    """Filters of due work."""

    status = django_filters.ChoiceFilter(
        choices=DueItem.Status.choices, help_text="e.g. `given_up`."
    )
    kind = django_filters.CharFilter(help_text="One kind, e.g. `recheck`.")

    class Meta:
        model = DueItem
        fields = ("status", "kind")


@extend_schema_view(
    get=described(
        "List work that falls due by itself: waiting, done, given up",
        gives=DueRow(many=True),
        tags=["owner"],
    )
)
class DueWork(GetList):
    """Due work by time."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = DueRow
    filterset_class = DueFilter
    order = ("due_at", "id")

    def get_queryset(self) -> Any:
        """All rows."""
        return DueItem.objects.all()
