"""Visits: what was drawn, what is not covered and why, and a person's choices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.api.forms.visits import ChoiceForm, VisitRow
from billing.domain.terms import Covered, Discipline, Gap
from billing.models import Visit
from billing.selectors import drawn
from billing.selectors.naming import shown_visits
from billing.services import authorizations
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import BILLING
from practice.api.views import Answer, ApiView, ListView
from practice.eventlog.runner import Work


class VisitFilter(FilterSet):
    """Filters of the list of visits."""

    covered = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in Covered],
        help_text="`covered`, `partly` or `not_covered`.",
    )
    reason = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in Gap],
        method="by_reason",
        help_text="With this reason among those why something is not covered.",
    )
    waits_for_choice = django_filters.BooleanFilter(help_text="true: a person must choose.")
    discipline = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in Discipline], help_text="Of one discipline."
    )
    payer_id = django_filters.UUIDFilter(help_text="Of one payer.")
    client_id = django_filters.UUIDFilter(help_text="Of one client.")
    authorization_id = django_filters.UUIDFilter(help_text="Drawn from one authorization.")
    from_date = django_filters.DateFilter(
        field_name="local_date", lookup_expr="gte", help_text="On or after this day."
    )
    to_date = django_filters.DateFilter(
        field_name="local_date", lookup_expr="lte", help_text="On or before this day."
    )

    class Meta:
        model = Visit
        fields = (
            "covered",
            "waits_for_choice",
            "discipline",
            "payer_id",
            "client_id",
            "authorization_id",
        )

    def by_reason(self, rows: QuerySet[Visit], name: str, value: str) -> Any:
        """Visits with a reason among theirs."""
        return rows.filter(gap_codes__contains=f"|{value}|")


class NamedVisits(ListView):
    """A list of visits with names; each client's record on it is read."""

    def prepared(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "visits")
        return shown_visits(rows)


@extend_schema_view(
    get=described("List visits", gives=VisitRow(many=True), tags=["visits"]),
)
class Visits(NamedVisits):
    """Billing's list of visits, the latest days on top."""

    roles = {"GET": BILLING}
    serializer_class = VisitRow
    filterset_class = VisitFilter
    order = ("-local_date", "id")

    def get_queryset(self) -> Any:
        """All visits."""
        return drawn.visit_list()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)


@extend_schema_view(
    get=described(
        "List the visits drawn from an authorization",
        gives=VisitRow(many=True),
        refuses=(404,),
        tags=["authorizations"],
    ),
)
class AuthorizationVisits(NamedVisits):
    """The visits of one authorization, those it did not cover too, by day."""

    roles = {"GET": BILLING}
    serializer_class = VisitRow
    order = ("local_date", "id")

    def get_queryset(self) -> Any:
        """Its visits."""
        return drawn.visit_list().filter(authorization_id=self.kwargs.get("authorization_id"))

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """One page."""
        drawn.authorization_get(self.actor(request), authorization_id)
        return self.listed(request)


@extend_schema_view(
    get=described("Read a visit", gives=VisitRow, refuses=(404,), tags=["visits"]),
)
class OneVisit(ApiView):
    """One visit."""

    roles = {"GET": BILLING}

    def get(self, request: Request, visit_id: UUID) -> Response:
        """As last reckoned; its version as ETag."""
        row = drawn.visit_get(visit_id)
        self.log_read(request, row.client_id, "visit")
        return self.shown(VisitRow(row).data, version=row.version)


CHOICES: dict[str, Callable[..., Any]] = {
    "units": authorizations.visit_choose_units,
    "authorization_id": authorizations.visit_choose_authorization,
    "session_id": authorizations.visit_assign_minutes,
}


@extend_schema_view(
    post=described(
        "Choose for a visit the code of its open units, its authorization, or whose minutes",
        takes=ChoiceForm,
        gives=VisitRow,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Where minutes are equal the rule leaves the code to a qualified person "
        "(CMS Pub. 100-04 ch. 5 section 20.2). Naming an authorization also covers a visit "
        "after room appeared: nothing is covered by itself.",
        tags=["visits"],
    )
)
class Choice(ApiView):
    """A person's choice for a visit."""

    roles = {"POST": BILLING}

    def post(self, request: Request, visit_id: UUID) -> Any:
        """Recorded, and drawn at once."""
        given, match = ChoiceForm.checked(request.data), self.if_match(request)
        row = drawn.visit_get(visit_id)
        choose = CHOICES[next(name for name in CHOICES if name in given)]

        def act(work: Work) -> Answer:
            choose(work, client_id=row.client_id, visit_id=visit_id, if_match=match, **given)
            now = drawn.visit_get(visit_id)
            return Answer(VisitRow(now).data, version=now.version)

        return self.command(request, act)
