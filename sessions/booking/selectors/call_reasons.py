"""Sessions to come that narrowed since they were planned: the client is told before they come."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from clients.permissions.domain.results import HandsOnExtent
from practice.core.localtime import zone_named
from sessions.calendar.domain.event_texts import EXTENT_WORDS
from sessions.calendar.models import Session


def _flagged_ahead(now: datetime) -> QuerySet[Session]:
    """Booked ones that have not ended; the day lets the index begin near them."""
    return Session.objects.filter(
        status="booked",
        flagged=True,
        flagged_at__isnull=False,
        ends_at__gt=now,
        local_date__gte=(now - timedelta(days=2)).date(),
    )


def _told(rows: Sequence[Session], _now: datetime) -> list[str]:
    texts = []
    for row in rows:
        local = row.starts_at.astimezone(zone_named(row.zone))
        left = EXTENT_WORDS[HandsOnExtent(row.hands_on)]
        texts.append(
            f"The session on {local:%Y-%m-%d} at {local:%H:%M} narrowed since it was planned: "
            f"{left} now."
        )
    return texts


SESSIONS_NARROWED = CallSource(
    reason="session_narrowed",
    explained="A session to come may be less than it was planned as.",
    rows=_flagged_ahead,
    by="local_date",
    about="id",
    since="flagged_at",
    told=_told,
)
