"""Re-checks: the front desk's call list."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.selectors.names import named
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import CARE, CLINICAL
from practice.api.views import Answer, ApiView, ListView
from practice.clock import clock
from practice.domain.terms import Role
from practice.eventlog.runner import Work
from sessions.api.forms.programme import BecauseIn, ClinicalRecheckForm, RecheckForm
from sessions.domain.programme.state import OPEN, RecheckStatus
from sessions.models import Recheck
from sessions.selectors.programme import recheck_get, recheck_list, with_next_session
from sessions.services.rechecks import recheck_skip


class RecheckFilter(FilterSet):
    """Filters of the call list."""

    facility = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of the practitioner who discharged."
    )
    client = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    status = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in RecheckStatus], help_text="E.g. `called`."
    )
    open = django_filters.BooleanFilter(
        method="filter_open", help_text="true: those that wait for a reading."
    )
    due_by = django_filters.DateFilter(
        field_name="due_on", lookup_expr="lte", help_text="Due on or before, `2026-05-01`."
    )

    class Meta:
        model = Recheck
        fields = ("facility", "practitioner", "client", "status", "open", "due_by")

    def filter_open(
        self, rows: QuerySet[Recheck], name: str, value: bool | None
    ) -> QuerySet[Recheck]:
        """Those that are planned or called, or the others."""
        waiting = Q(status__in=OPEN)
        return rows.filter(waiting if value else ~waiting)


def shown_recheck(role: Role, row: Recheck) -> Any:
    """A re-check as one role may read it: the desk sees no degrees."""
    if not hasattr(row, "client_name"):
        named(with_next_session([row], clock.now()))
    form = ClinicalRecheckForm if role in CLINICAL else RecheckForm
    names = [name for name in form().get_fields() if name != "overdue"]
    overdue = row.status in OPEN and row.due_on < row.today  # type: ignore[attr-defined]
    return form({**{name: getattr(row, name) for name in names}, "overdue": overdue}).data


@extend_schema_view(
    get=described(
        "List re-checks: the call list",
        gives=RecheckForm(many=True),
        description="Earliest due first. Practitioners and owner see what was judged too.",
        tags=["re-checks"],
    )
)
class Rechecks(ListView):
    """The re-checks at my facilities."""

    roles = {"GET": CARE}
    serializer_class = RecheckForm
    filterset_class = RecheckFilter
    order = ("due_on", "id")

    def get_queryset(self) -> Any:
        """Those at facilities that I see."""
        return recheck_list(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        role = self.actor(request).role
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset())) or []
        self.log_reads(request, (row.client_id for row in page), "re-checks")
        named(with_next_session(page, clock.now()))
        return self.get_paginated_response([shown_recheck(role, row) for row in page])


@extend_schema_view(
    get=described("Read a re-check", gives=RecheckForm, refuses=(404,), tags=["re-checks"])
)
class OneRecheck(ApiView):
    """One re-check."""

    roles = {"GET": CARE}

    def get(self, request: Request, recheck_id: UUID) -> Response:
        """The re-check."""
        actor = self.actor(request)
        row = recheck_get(actor, recheck_id)
        self.log_read(request, row.client_id, "re-check")
        return self.shown(shown_recheck(actor.role, row), version=row.version)


@extend_schema_view(
    post=described(
        "Skip a re-check",
        takes=BecauseIn,
        gives=RecheckForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["re-checks"],
    )
)
class SkipRecheck(ApiView):
    """It will not be done."""

    roles = {"POST": CARE}

    def post(self, request: Request, recheck_id: UUID) -> Any:
        """Skip it, with the reason; a repeat changes nothing."""
        row = recheck_get(self.actor(request), recheck_id)
        reason = BecauseIn.checked(request.data)["reason"]
        match = self.if_match(request)

        def act(work: Work) -> Answer:
            outcome = recheck_skip(
                work,
                client_id=row.client_id,
                recheck_id=recheck_id,
                reason=reason,
                if_match=match,
            )
            now = Recheck.objects.get(pk=recheck_id)
            return Answer(shown_recheck(work.actor.role, now), version=outcome.version)

        return self.command(request, act)
