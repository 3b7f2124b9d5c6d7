"""Series within the facilities that the caller may see, and their sessions."""

from __future__ import annotations

from uuid import UUID

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.people_and_places.selectors.facilities import at_visible_facilities
from practice.policy.selectors import settings_group
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_list
from sessions.series.domain.settings import SeriesSettings
from sessions.series.models import SessionSeries


def series_settings() -> SeriesSettings:
    """The practice's settings of series."""
    return settings_group("series", SeriesSettings)[0]


def series_get(actor: Actor, series_id: UUID) -> SessionSeries:
    """A series at a facility that the caller may see; Rejected 404 for any other."""
    rows = at_visible_facilities(actor, SessionSeries.objects.filter(pk=series_id))
    return existing(rows.first(), "series")


def sessions_of_series(actor: Actor, series_id: UUID) -> list[Session]:
    """The sessions of a series that the caller may see, in order of their start, with names."""
    rows = session_list(actor).filter(series_id=series_id)
    return with_display_names(rows.order_by("starts_at", "id"))
