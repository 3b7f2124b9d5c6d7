"""Re-checks: the front desk's call list."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.display_names import with_display_names
from practice.clock import clock
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from sessions.stretches.filters import RecheckFilter
from sessions.stretches.rendering import render_recheck, serialize_recheck
from sessions.stretches.selectors.rechecks import (
    recheck_get,
    recheck_list,
    with_mail_status,
    with_next_session,
)
from sessions.stretches.serializers.rechecks import ReasonInputSerializer, RecheckOutputSerializer
from sessions.stretches.services.rechecks import recheck_skip


@extend_schema_view(
    get=endpoint(
        "List re-checks: the call list",
        response=RecheckOutputSerializer(many=True),
        description="Earliest due first. Practitioners and owner see what was evaluated too.",
        tags=["re-checks"],
    )
)
class RecheckListView(ListView):
    """The re-checks at my facilities."""

    roles = {"GET": CARE}
    filterset_class = RecheckFilter
    order = ("due_on", "id")

    def get_queryset(self) -> Any:
        """Those at facilities that I see."""
        return recheck_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names and the next session; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "re-checks")
        with_display_names(with_mail_status(with_next_session(rows, clock.now())))
        role = self.actor(request).role
        return [serialize_recheck(role, row) for row in rows]


class RecheckDetailView(ApiView):
    """One re-check with its due day and status."""

    roles = {"GET": CARE}

    @endpoint(
        "Read a re-check",
        response=RecheckOutputSerializer,
        errors=(404,),
        description=(
            "Its due day, from which discharge it comes, whether it is on the call list, "
            "done or skipped; practitioners and owner read what was found too. 404 outside "
            "the caller's facilities."
        ),
        tags=["re-checks"],
    )
    def get(self, request: Request, recheck_id: UUID) -> Response:
        actor = self.actor(request)
        row = recheck_get(actor, recheck_id)
        self.log_read(request, row.client_id, "re-check")
        return self.read_response(serialize_recheck(actor.role, row), version=row.version)


class RecheckSkipView(CommandView):
    """It will not be done."""

    post = Command(
        "Skip a re-check",
        tag="re-checks",
        roles=CARE,
        input=ReasonInputSerializer,
        example={"reason": "The client is away until May."},
        output=RecheckOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=recheck_skip,
        render=render_recheck,
        description=(
            "It leaves the call list for good with its reason; the next one of the stretch "
            "stays. A repeat changes nothing; one that was answered already is 409."
        ),
    )
