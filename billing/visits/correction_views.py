"""What correcting a payer's rules changes of visits: shown first, then done in one act."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from billing.visits.correction_serializers import (
    CorrectionInputSerializer,
    CorrectionQuerySerializer,
    CorrectionsOutputSerializer,
    serialize_corrections,
)
from billing.visits.domain.rule_corrections import CorrectedPeriod
from billing.visits.selectors.rule_corrections import Corrections, preview_corrections
from billing.visits.services.rule_corrections import visits_correct
from practice.accesslog.services import log_reads
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import BILLING
from practice.work.unit_of_work import UnitOfWork


def render_corrections(uow: UnitOfWork, found: Corrections) -> Representation:
    """The visits as they are from now on; each client's record is read."""
    log_reads(
        staff_id=uow.actor.id,
        client_ids=found.by_client,
        what="visits",
        request_id=uow.request_id,
    )
    return Representation(serialize_corrections(found))


class PayerCorrectionView(CommandView):
    """What correcting a payer's rules changes of visits."""

    roles = {"GET": BILLING}
    query_form = CorrectionQuerySerializer

    @endpoint(
        "Show which visits a payer's corrected rules would change",
        response=CorrectionsOutputSerializer,
        errors=(404, 409),
        query=CorrectionQuerySerializer,
        description="Nothing is changed. A day is calculated by the rules in force on it; visits "
        "that they make otherwise are shown before and after. 409 where the days hold more visits "
        "than one act takes.",
        tags=["billing"],
    )
    def get(self, request: Request, payer_id: UUID) -> Response:
        """The changes, before anything is changed."""
        given = self.query(request)
        found = preview_corrections(CorrectedPeriod(payer_id, given.get("from"), given.get("to")))
        self.log_reads(request, found.by_client, "visits")
        return self.read_response(serialize_corrections(found))

    post = Command(
        "Calculate again the visits that a payer's corrected rules change",
        tag="billing",
        roles=BILLING,
        input=CorrectionInputSerializer,
        output=CorrectionsOutputSerializer,
        errors=(404, 409),
        execute=visits_correct,
        render=render_corrections,
        description="In one transaction, as they were shown: 409 where nothing would change or "
        "where the changes are no longer those of `version`.",
    )
