"""Visits that would be covered now: shown first, covered in one act; and giving a visit back."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from billing.visits.coverage_serializers import (
    CoverageInputSerializer,
    CoverageOutputSerializer,
    CoverageQuerySerializer,
    GiveBackInputSerializer,
    serialize_coverage,
)
from billing.visits.selectors.coverage import Coverage, preview_coverage
from billing.visits.serializers import VisitOutputSerializer
from billing.visits.services.coverage import visit_give_back, visits_cover
from billing.visits.views import render_visit
from practice.accesslog.services import log_reads
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import BILLING
from practice.work.unit_of_work import UnitOfWork


def render_coverage(uow: UnitOfWork, found: Coverage) -> Representation:
    """The visits as they stand now, and what they took; each client's record is read."""
    log_reads(
        staff_id=uow.actor.id,
        client_ids=found.by_client,
        what="visits",
        request_id=uow.request_id,
    )
    return Representation(serialize_coverage(found, done=True))


class CoverableVisitListView(CommandView):
    """Visits that are not, or only partly, covered and would be covered now."""

    roles = {"GET": BILLING}
    query_form = CoverageQuerySerializer

    @endpoint(
        "List the visits that would be covered now",
        response=CoverageOutputSerializer,
        errors=(409,),
        query=CoverageQuerySerializer,
        description="Nothing is covered by itself when an authorization is recorded, extended or "
        "reopened after its visits. Each visit says by which authorization, and what it would "
        "take after those before it; `left` is what remains after all. Visits that were given "
        "back are shown on request. 409 where there are more visits than one act takes.",
        tags=["visits"],
    )
    def get(self, request: Request) -> Response:
        """What would be covered, before anything is."""
        found = preview_coverage(self.query_form.selection(self.query(request)))
        self.log_reads(request, found.by_client, "visits")
        return self.read_response(serialize_coverage(found))

    post = Command(
        "Cover the visits that would be covered now",
        tag="visits",
        roles=BILLING,
        input=CoverageInputSerializer,
        output=CoverageOutputSerializer,
        errors=(409,),
        idempotency="required",
        execute=visits_cover,
        render=render_coverage,
        description="In one transaction, as they were shown: 409 where none would be covered or "
        "where the list is no longer that of `version`. Name the visits, or a client or an "
        "authorization for all of theirs. "
        "The answer shows them as they stand after it.",
    )


class VisitGiveBackView(CommandView):
    """What a visit used, given back."""

    post = Command(
        "Give back what a visit used of its authorization",
        tag="visits",
        roles=BILLING,
        input=GiveBackInputSerializer,
        output=VisitOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=visit_give_back,
        render=render_visit,
        description="Visit, units and minutes go back at once. The visit is not covered, with the "
        "reason `given_back`, and is not covered again by itself: cover it from the list of "
        "visits that would be covered, or name its authorization.",
    )
