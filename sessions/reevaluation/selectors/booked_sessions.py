"""What a fact of the client did to the sessions that are booked, as the reactor judged it."""

from __future__ import annotations

from datetime import datetime

import msgspec

from clients.identity.domain.booked_session import BookedSession
from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Reason
from practice.work.unit_of_work import Outcome
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.reevaluation.domain.told import extent_text, told
from sessions.reevaluation.services import FACTS_CHANGED


def booked_sessions_after(outcome: Outcome, now: datetime) -> list[BookedSession]:
    """The client's sessions that have not ended, by start. What changed nothing was judged by
    nobody: the sessions stand as their rows have them."""
    judged = outcome.lookups.get(FACTS_CHANGED.name, [])
    if not judged:
        return _as_they_stand(outcome, now)
    flags = {
        one.data.session_id: one.data
        for one in outcome.events
        if isinstance(one.data, SessionFlagged)
    }
    return told(judged[-1].ahead, flags)


def _as_they_stand(outcome: Outcome, now: datetime) -> list[BookedSession]:
    rows = Session.objects.filter(
        client_id=outcome.client_id, status__in=TIME_HOLDING_STATUSES, ends_at__gt=now
    )
    return [_stands(row) for row in rows.order_by("starts_at", "id")]


def _stands(row: Session) -> BookedSession:
    extent = HandsOnExtent(row.widest_hands_on)
    kept = [*row.reasons, *(one for group in row.closed for one in group["reasons"])]
    reasons = msgspec.convert([*kept, *row.flag_reasons], list[Reason])
    return BookedSession(
        session_id=row.pk,
        starts_at=row.starts_at,
        zone=row.zone,
        was=extent,
        now=extent,
        may_be=extent,
        text=extent_text(extent, extent, extent),
        reasons=() if extent is HandsOnExtent.ALL else tuple(dict.fromkeys(reasons)),
    )
