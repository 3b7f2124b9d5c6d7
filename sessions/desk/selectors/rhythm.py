"""How often clients come against what is planned, and how often they did not come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Final
from uuid import UUID

from clients.identity.models import Client
from practice.clock import clock
from practice.core.localtime import local_day
from sessions.booking.domain.rhythm import booked_in_week, no_show_days, often_missed, week_of
from sessions.booking.selectors.client_side import sessions_between
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.gaps import GapSource

WEEKS: Final = 4

FEW, NO_SHOWS = "few", "nosh"
TEXTS: Final = {
    FEW: "Fewer sessions are booked that week than planned: offer the client more.",
    NO_SHOWS: "The client often did not come: have the time confirmed.",
}


def client_rhythm(
    client_id: UUID, planned: int | None, today: date, now: datetime
) -> dict[str, Any]:
    """Sessions of this week and the next ones beside those planned, and the no-shows."""
    settings = calendar_settings()
    weeks = [week_of(today) + timedelta(weeks=n) for n in range(WEEKS)]
    found = sessions_between([client_id], weeks[0], weeks[-1], now, settings)[client_id]
    missed = no_show_days(found, today, settings)
    return {
        "planned_per_week": planned,
        "weeks": [{"begins": week, "booked": booked_in_week(found, week)} for week in weeks],
        "no_shows": len(missed),
        "no_show_days": settings.no_show_days,
        "last_no_show": missed[-1] if missed else None,
    }


def _rhythm_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    clients = {row.client_id for row in sessions}
    now, settings = clock.now(), calendar_settings()
    days = [row.local_date for row in sessions]
    found = sessions_between(clients, min(days), max(days), now, settings)
    planned = dict(
        Client.objects.filter(pk__in=clients, planned_sessions_per_week__isnull=False).values_list(
            "pk", "planned_sessions_per_week"
        )
    )
    gaps: dict[UUID, list[str]] = {}
    for row in sessions:
        theirs, wanted = found[row.client_id], planned.get(row.client_id) or 0
        missed = no_show_days(theirs, local_day(now, row.zone), settings)
        few = booked_in_week(theirs, row.local_date) < wanted
        often = often_missed(missed, settings)
        gaps[row.pk] = [FEW] * few + [NO_SHOWS] * often
    return gaps


RHYTHM_GAPS = GapSource(TEXTS, _rhythm_gaps)
"""Fewer sessions than planned, and clients who often did not come."""
