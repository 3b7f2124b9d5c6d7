"""The hour of a session: the suggested split and the practitioner's own."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.terms import Role, SessionPart
from practice.http.base_views import ApiView, CommandResponse
from practice.http.openapi import endpoint
from practice.http.reasons import shown_reasons
from practice.http.roles import CLINICAL
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get
from sessions.session_split.domain.events import SessionSplitSet
from sessions.session_split.selectors.facts import SplitDayFacts
from sessions.session_split.selectors.split import SplitOfSession, session_split_get
from sessions.session_split.serializers.split import (
    SessionSplitInputSerializer,
    SessionSplitOutputSerializer,
    SessionSplitQueryInputSerializer,
    serialize_loading_criteria,
)
from sessions.session_split.services import session_split_set
from sessions.stretches.selectors.prescriptions import prescriptions_of


def _serialize_practitioner_split(
    role: Role, practitioner_split: SessionSplitSet | None
) -> dict[str, Any] | None:
    if practitioner_split is None:
        return None
    return {
        "minutes": {one.part: one.minutes for one in practitioner_split.minutes},
        "reason": practitioner_split.reason,
        "unmet_criteria": shown_reasons(role, practitioner_split.unmet_criteria),
    }


def serialize_session_split(role: Role, session: Session, found: SplitOfSession) -> Any:
    """A split as it is sent."""
    suggested = found.suggested
    on_programme = prescriptions_of(session.client_id).filter(status__in=("prescribed", "active"))
    return SessionSplitOutputSerializer(
        {
            "session_id": session.pk,
            "booked_minutes": suggested.booked_minutes,
            "parts": [msgspec.structs.asdict(one) for one in suggested.parts],
            "reasons": shown_reasons(role, suggested.reasons),
            "loading_criteria": serialize_loading_criteria(role, suggested),
            "practitioner_split": _serialize_practitioner_split(role, found.practitioner_split),
            "settings_revision": found.settings_revision,
            "stretches": [
                {
                    "prescription_id": str(row.pk),
                    "stretch": row.stretch,
                    "name": row.name,
                    "side": row.side,
                }
                for row in on_programme.order_by("prescribed_at", "id")
            ],
        }
    ).data


@extend_schema_view(
    get=endpoint(
        "Suggest how to split the hour",
        response=SessionSplitOutputSerializer,
        query=SessionSplitQueryInputSerializer,
        errors=(404,),
        description="Practice policy, shown as such; sums exactly to the booked length.",
        tags=["sessions"],
    ),
    put=endpoint(
        "Plan your own split of the hour",
        request=SessionSplitInputSerializer,
        response=SessionSplitOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It wins over the suggestion; crossing a gate takes the reason.",
        tags=["sessions"],
    ),
)
class SessionSplitView(ApiView):
    """How the booked time is divided."""

    roles = {"GET": CLINICAL, "PUT": CLINICAL}
    query_form = SessionSplitQueryInputSerializer

    def known_parameters(self) -> set[str]:
        """What is not on record may be said when asking."""
        return super().known_parameters() if self.request.method != "PUT" else set()

    def get(self, request: Request, session_id: UUID) -> Response:
        """The suggestion with its reasons."""
        actor = self.actor(request)
        session = session_get(actor, session_id)
        self.log_read(request, session.client_id, "split of the hour")
        day = SplitDayFacts(**self.query(request))
        return Response(
            serialize_session_split(actor.role, session, session_split_get(session, day))
        )

    def put(self, request: Request, session_id: UUID) -> Any:
        """Her own split."""
        session = session_get(self.actor(request), session_id)
        given = SessionSplitInputSerializer.checked(request.data)
        match = self.if_match(request)
        return self.command(request, lambda uow: _split_response(uow, session, given, match))


def _split_response(
    uow: UnitOfWork, session: Session, given: dict[str, Any], match: int | None
) -> CommandResponse:
    minutes = {part: given[part.value] for part in SessionPart}
    day = SplitDayFacts(sedentary=given.get("sedentary"))
    outcome = session_split_set(
        uow,
        session=session,
        minutes=minutes,
        reason=given.get("reason", ""),
        day=day,
        if_match=match,
    )
    shown = serialize_session_split(uow.actor.role, session, session_split_get(session, day))
    return CommandResponse(shown, version=outcome.version)
