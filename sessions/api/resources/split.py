"""The hour of a session: the suggested split and the practitioner's own."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.roles import CLINICAL
from practice.api.views import Answer, ApiView
from practice.domain.terms import Part, Role
from practice.eventlog.runner import Work
from sessions.api.forms.shared import shown_reasons
from sessions.api.forms.split import HourAsked, SplitForm, SplitIn, shown_gates
from sessions.domain.hour.events import HourSplit
from sessions.models import Session
from sessions.selectors.calendar import session_get
from sessions.selectors.hour import SessionSplit, session_split
from sessions.selectors.programme import prescriptions_of
from sessions.services.hour import Day, hour_split


def _own(role: Role, own: HourSplit | None) -> dict[str, Any] | None:
    if own is None:
        return None
    return {
        "minutes": {one.part: one.minutes for one in own.minutes},
        "reason": own.reason,
        "crossed": shown_reasons(role, own.crossed),
    }


def shown_split(role: Role, session: Session, found: SessionSplit) -> Any:
    """A split as it is sent."""
    suggested = found.suggested
    on_programme = prescriptions_of(session.client_id).filter(standing__in=("prescribed", "active"))
    return SplitForm(
        {
            "session_id": session.pk,
            "booked_minutes": suggested.booked_minutes,
            "parts": [msgspec.structs.asdict(one) for one in suggested.parts],
            "reasons": shown_reasons(role, suggested.reasons),
            "gates": shown_gates(role, suggested),
            "own": _own(role, found.own),
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
    get=described(
        "Suggest how to split the hour",
        gives=SplitForm,
        query=HourAsked,
        refuses=(404,),
        description="Practice policy, shown as such; sums exactly to the booked length.",
        tags=["sessions"],
    ),
    put=described(
        "Plan your own split of the hour",
        takes=SplitIn,
        gives=SplitForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It wins over the suggestion; crossing a gate takes the reason.",
        tags=["sessions"],
    ),
)
class SessionHour(ApiView):
    """How the booked time is divided."""

    roles = {"GET": CLINICAL, "PUT": CLINICAL}
    query_form = HourAsked

    def known_parameters(self) -> set[str]:
        """What is not on record may be said when asking."""
        return super().known_parameters() if self.request.method != "PUT" else set()

    def get(self, request: Request, session_id: UUID) -> Response:
        """The suggestion with its reasons."""
        actor = self.actor(request)
        session = session_get(actor, session_id)
        self.log_read(request, session.client_id, "split of the hour")
        day = Day(**self.query(request))
        return Response(shown_split(actor.role, session, session_split(session, day)))

    def put(self, request: Request, session_id: UUID) -> Any:
        """Her own split."""
        session = session_get(self.actor(request), session_id)
        given = SplitIn.checked(request.data)
        match = self.if_match(request)
        return self.command(request, lambda work: _planned(work, session, given, match))


def _planned(work: Work, session: Session, given: dict[str, Any], match: int | None) -> Answer:
    minutes = {part: given[part.value] for part in Part}
    day = Day(sedentary=given.get("sedentary"))
    outcome = hour_split(
        work,
        session=session,
        minutes=minutes,
        reason=given.get("reason", ""),
        day=day,
        if_match=match,
    )
    shown = shown_split(work.actor.role, session, session_split(session, day))
    return Answer(shown, version=outcome.version)
