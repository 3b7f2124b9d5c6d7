"""Visits: what was used, what is not covered and why, and a person's choices."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations.selectors.authorizations import authorization_get
from billing.visits.filters import VisitFilter
from billing.visits.selectors.visits import name_visits, visit_get, visit_list
from billing.visits.serializers import VisitOutputSerializer, VisitOverrideInputSerializer
from billing.visits.services.overrides import visit_override
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import BILLING
from practice.work.unit_of_work import Outcome, UnitOfWork


class NamedVisitListView(ListView):
    """A list of visits with names; each client's record on it is read."""

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "visits")
        return VisitOutputSerializer(name_visits(rows), many=True).data


@extend_schema_view(
    get=endpoint(
        "List visits",
        response=VisitOutputSerializer(many=True),
        description=(
            "Treatment days, the latest on top: minutes by part, units earned, what covers "
            "them, and why not where nothing does. Every client on the page counts as read."
        ),
        tags=["visits"],
    ),
)
class VisitListView(NamedVisitListView):
    """Billing's list of visits, the latest days on top."""

    roles = {"GET": BILLING}
    filterset_class = VisitFilter
    order = ("-local_date", "id")

    def get_queryset(self) -> Any:
        return visit_list()


@extend_schema_view(
    get=endpoint(
        "List the visits that use an authorization",
        response=VisitOutputSerializer(many=True),
        errors=(404,),
        description=(
            "Its treatment days in order, with what each used of it in units, minutes and "
            "visits; those that it did not cover too, with the reason."
        ),
        tags=["authorizations"],
    ),
)
class AuthorizationVisitListView(NamedVisitListView):
    """The visits of one authorization, those it did not cover too, by day."""

    roles = {"GET": BILLING}
    order = ("local_date", "id")

    def get_queryset(self) -> Any:
        return visit_list().filter(authorization_id=self.kwargs.get("authorization_id"))

    def check_visible(self, request: Request, **ids: Any) -> None:
        """The authorization of the path."""
        authorization_get(self.actor(request), ids["authorization_id"])


@extend_schema_view(
    get=endpoint(
        "Read a visit",
        response=VisitOutputSerializer,
        errors=(404,),
        description=(
            "As last calculated: minutes that counted and those that did not, each with its "
            "reason, units earned, used and waiting for a choice. The ETag is its version, "
            "for `If-Match`."
        ),
        tags=["visits"],
    ),
)
class VisitDetailView(ApiView):
    """One visit with its calculation."""

    roles = {"GET": BILLING}

    def get(self, request: Request, visit_id: UUID) -> Response:
        """As last calculated; its version as ETag."""
        row = visit_get(visit_id)
        self.log_read(request, row.client_id, "visit")
        return self.read_response(VisitOutputSerializer(row).data, version=row.version)


def render_visit(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A visit as it stands after a command."""
    row = visit_get(outcome.entity_id)
    return Representation(VisitOutputSerializer(row).data, row.version)


class VisitOverrideView(CommandView):
    """A person's choice for a visit."""

    post = Command(
        "Choose for a visit the code of its open units, its authorization, or whose the shared "
        "minutes are",
        tag="visits",
        roles=BILLING,
        input=VisitOverrideInputSerializer,
        output=VisitOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=visit_override,
        render=render_visit,
        description="Where minutes are equal the rule leaves the code to a qualified person "
        "(CMS Pub. 100-04 ch. 5 section 20.2). One minute of a client or of a practitioner counts "
        "once: an answer on shared minutes holds for all sessions that share them. Naming an "
        "authorization also covers a visit after room appeared: nothing is covered by itself.",
    )
