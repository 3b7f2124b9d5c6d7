"""Which clients are to be told that their class moved or is off, and who is in a class."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from clients.identity.display_names import with_display_names
from practice.core.localtime import zone_named
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import class_titles, sessions_of_class


def places_shown(class_id: UUID) -> list[Session]:
    """The places that are taken in a class, with the names of the clients."""
    return with_display_names(sessions_of_class(class_id))


def _changed_ahead(now: datetime) -> QuerySet[Session]:
    """Places still to come, or that would be, whose class changed; the day lets the index begin
    near them."""
    return Session.objects.filter(
        class_changed_at__isnull=False,
        status__in=(SessionStatus.BOOKED, SessionStatus.CANCELLED),
        ends_at__gt=now,
        local_date__gte=(now - timedelta(days=2)).date(),
    )


def _told(rows: Sequence[Session], _now: datetime) -> list[str]:
    titles = class_titles(rows)
    texts = []
    for row in rows:
        local = row.starts_at.astimezone(zone_named(row.zone))
        when = f"{local:%Y-%m-%d} at {local:%H:%M}"
        named = f"The class “{titles.get(row.class_id, '')}”"
        off = row.status == SessionStatus.CANCELLED
        texts.append(
            f"{named} is called off for the client: they were booked on {when}."
            if off
            else f"{named} was moved: it is on {when} now."
        )
    return texts


CLASSES_CHANGED = CallSource(
    reason="class_changed",
    explained="A class in which the client had a place was moved or called off.",
    rows=_changed_ahead,
    by="local_date",
    about="id",
    since="class_changed_at",
    told=_told,
)
