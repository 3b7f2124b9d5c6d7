"""Visits: what was drawn, what is not covered and why, and a person's choices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.api.filters.visits import VisitFilter
from billing.api.forms.visits import ChoiceForm, VisitRow
from billing.selectors.authorizations import authorization_get
from billing.selectors.visits import shown_visits, visit_get, visit_list
from billing.services import visits
from practice.api.describe import described
from practice.api.roles import BILLING
from practice.api.views import Answer, ApiView, ListView
from practice.eventlog.runner import Work


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
        return visit_list()

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
        return visit_list().filter(authorization_id=self.kwargs.get("authorization_id"))

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """One page."""
        authorization_get(self.actor(request), authorization_id)
        return self.listed(request)


@extend_schema_view(
    get=described("Read a visit", gives=VisitRow, refuses=(404,), tags=["visits"]),
)
class OneVisit(ApiView):
    """One visit."""

    roles = {"GET": BILLING}

    def get(self, request: Request, visit_id: UUID) -> Response:
        """As last reckoned; its version as ETag."""
        row = visit_get(visit_id)
        self.log_read(request, row.client_id, "visit")
        return self.shown(VisitRow(row).data, version=row.version)


CHOICES: dict[str, Callable[..., Any]] = {
    "units": visits.visit_choose_units,
    "authorization_id": visits.visit_choose_authorization,
    "session_id": visits.visit_assign_minutes,
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
        row = visit_get(visit_id)
        choose = CHOICES[next(name for name in CHOICES if name in given)]

        def act(work: Work) -> Answer:
            choose(work, client_id=row.client_id, visit_id=visit_id, if_match=match, **given)
            now = visit_get(visit_id)
            return Answer(VisitRow(now).data, version=now.version)

        return self.command(request, act)
