"""Re-checks: the front desk's call list."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.display_names import with_display_names
from practice.clock import clock
from practice.core.terms import Role
from practice.http.base_views import ApiView, CommandResponse, ListView
from practice.http.openapi import endpoint
from practice.http.roles import CARE, CLINICAL
from practice.work.unit_of_work import UnitOfWork
from sessions.stretches.domain.state import OPEN_STATUSES
from sessions.stretches.filters import RecheckFilter
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.rechecks import recheck_get, recheck_list, with_next_session
from sessions.stretches.serializers.rechecks import (
    ClinicalRecheckOutputSerializer,
    ReasonInputSerializer,
    RecheckOutputSerializer,
)
from sessions.stretches.services.rechecks import recheck_skip


def serialize_recheck(role: Role, row: Recheck) -> Any:
    """A re-check as one role may read it: the desk sees no degrees."""
    if not hasattr(row, "client_name"):
        with_display_names(with_next_session([row], clock.now()))
    form = ClinicalRecheckOutputSerializer if role in CLINICAL else RecheckOutputSerializer
    names = [name for name in form().get_fields() if name != "overdue"]
    overdue = row.status in OPEN_STATUSES and row.due_on < row.today  # type: ignore[attr-defined]
    return form({**{name: getattr(row, name) for name in names}, "overdue": overdue}).data


@extend_schema_view(
    get=endpoint(
        "List re-checks: the call list",
        response=RecheckOutputSerializer(many=True),
        description="Earliest due first. Practitioners and owner see what was judged too.",
        tags=["re-checks"],
    )
)
class RecheckListView(ListView):
    """The re-checks at my facilities."""

    roles = {"GET": CARE}
    serializer_class = RecheckOutputSerializer
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
        with_display_names(with_next_session(page, clock.now()))
        return self.get_paginated_response([serialize_recheck(role, row) for row in page])


@extend_schema_view(
    get=endpoint(
        "Read a re-check", response=RecheckOutputSerializer, errors=(404,), tags=["re-checks"]
    )
)
class RecheckDetailView(ApiView):
    """One re-check."""

    roles = {"GET": CARE}

    def get(self, request: Request, recheck_id: UUID) -> Response:
        """The re-check."""
        actor = self.actor(request)
        row = recheck_get(actor, recheck_id)
        self.log_read(request, row.client_id, "re-check")
        return self.read_response(serialize_recheck(actor.role, row), version=row.version)


@extend_schema_view(
    post=endpoint(
        "Skip a re-check",
        request=ReasonInputSerializer,
        response=RecheckOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["re-checks"],
    )
)
class RecheckSkipView(ApiView):
    """It will not be done."""

    roles = {"POST": CARE}

    def post(self, request: Request, recheck_id: UUID) -> Any:
        """Skip it, with the reason; a repeat changes nothing."""
        row = recheck_get(self.actor(request), recheck_id)
        reason = ReasonInputSerializer.checked(request.data)["reason"]
        match = self.if_match(request)

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = recheck_skip(
                uow,
                client_id=row.client_id,
                recheck_id=recheck_id,
                reason=reason,
                if_match=match,
            )
            now = Recheck.objects.get(pk=recheck_id)
            return CommandResponse(serialize_recheck(uow.actor.role, now), version=outcome.version)

        return self.command(request, execute)
