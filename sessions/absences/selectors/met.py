"""Which booked sessions an absence or a closure meets. One rule, asked from both sides.

Whole days meet a session by the local days of its first and its last moment; a part of time by
instants. A session that somebody booked all the same (``overruled``) is not met.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.people_and_places.models.exceptions import Absence, Closure, TimeOff
from practice.people_and_places.selectors.exceptions import absence_get, closure_get
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_list

OF_A_SESSION: Final = Q(
    starts_at=None, first_day__lte=OuterRef("local_end_date"), last_day__gte=OuterRef("local_date")
) | Q(starts_at__lt=OuterRef("ends_at"), ends_at__gt=OuterRef("starts_at"))


def booked_to_come(rows: QuerySet[Session], now: datetime) -> QuerySet[Session]:
    """Those that may still be met: booked, not over, not booked all the same."""
    return rows.filter(status=SessionStatus.BOOKED, overruled="", ends_at__gt=now)


def no_sessions() -> QuerySet[Session]:
    """None; what the description of the API is made from."""
    return Session.objects.none()


def met_by(row: Absence | Closure, now: datetime) -> QuerySet[Session]:
    """The booked sessions that stand in the way still; none of one that was lifted."""
    rows = booked_to_come(Session.objects.all(), now)
    if row.lifted_at is not None:
        return rows.none()
    return rows.filter(_whose(row), _when(row))


def met_and_seen(actor: Actor, row: Absence | Closure, now: datetime) -> QuerySet[Session]:
    """Those of them at facilities that the actor sees."""
    return met_by(row, now) & session_list(actor)


def met_count(actor: Actor, row: Absence | Closure, now: datetime) -> tuple[int, int]:
    """How many are still without a practitioner or a place: those that the actor sees, and those
    at facilities that they do not see."""
    every = met_by(row, now)
    seen = met_and_seen(actor, row, now).count()
    return seen, every.count() - seen


def standing_off(model: type[TimeOff], whose: str) -> QuerySet[Any]:
    """Rows in force that meet a session, asked inside a query of sessions; ``whose``: the column
    that both have."""
    return model._default_manager.filter(OF_A_SESSION, lifted_at=None, **{whose: OuterRef(whose)})


def _whose(row: Absence | Closure) -> Q:
    if isinstance(row, Absence):
        return Q(practitioner_id=row.practitioner_id)
    return Q(facility_id=row.facility_id)


def _when(row: TimeOff) -> Q:
    if row.starts_at is None:
        return Q(local_date__lte=row.last_day, local_end_date__gte=row.first_day)
    return Q(starts_at__lt=row.ends_at, ends_at__gt=row.starts_at)


def off_of_ids(
    actor: Actor, *, absence_id: UUID | None = None, closure_id: UUID | None = None
) -> Absence | Closure:
    """The absence or the closure of an address. Raises Rejected 404."""
    if closure_id is not None:
        return closure_get(actor, closure_id)
    return absence_get(actor, existing(absence_id, "absence"))
