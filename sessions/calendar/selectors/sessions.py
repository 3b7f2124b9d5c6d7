"""Questions to the calendar's read table, within the facilities that the caller may see."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session


def session_list(actor: Actor) -> QuerySet[Session]:
    """The sessions at facilities that the caller may see."""
    return at_visible_facilities(actor, Session.objects.all())


def session_row(session_id: UUID) -> Session:
    """A session as it stands, whoever asks: after a command that was allowed."""
    return Session.objects.get(pk=session_id)


def session_get(actor: Actor, session_id: UUID) -> Session:
    """One of them; Rejected 404 for any other."""
    return existing(session_list(actor).filter(pk=session_id).first(), "session")


def flagged_sessions(actor: Actor, now: datetime) -> QuerySet[Session]:
    """Booked sessions to come that narrowed since they were planned."""
    return session_list(actor).filter(flagged=True, status="booked", ends_at__gt=now)


def sessions_holding_time(
    begin: datetime,
    end: datetime,
    *,
    practitioners: Iterable[UUID],
    rooms: Iterable[UUID],
    client: UUID,
) -> QuerySet[Session]:
    """Sessions that hold a time of any of these between two instants: one query."""
    held = Session.objects.filter(
        status__in=TIME_HOLDING_STATUSES, starts_at__lt=end, ends_at__gt=begin
    )
    mine = held.filter(practitioner_id__in=practitioners) | held.filter(client_id=client)
    return mine | held.filter(room_id__in=rooms)
