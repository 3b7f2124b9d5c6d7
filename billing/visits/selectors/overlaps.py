"""Minutes in which one practitioner was with two clients."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from datetime import datetime, timedelta
from uuid import UUID

from django.db import connection
from django.db.models import OuterRef, QuerySet, Subquery

from billing.visits.domain.shared_time import SessionSpan
from practice.people_and_places.models.practitioners import Practitioner
from sessions.calendar.models import Session
from sessions.notes.models import Note
from sessions.notes.selectors.notes import notes_standing

LONGEST_SESSION = timedelta(hours=24)
"""No session lasts longer, so no note that began earlier can reach into this one."""


def sessions_elsewhere(
    client_id: UUID, practitioner_id: UUID, starts_at: datetime, ends_at: datetime
) -> tuple[SessionSpan, ...]:
    """A practitioner's signed sessions with other clients that share time with a span.

    The practitioner's row is locked, so that of two signatures at once the later one sees
    the other.
    """
    _lock(practitioner_id)
    near = (
        notes_standing()
        .filter(
            practitioner_id=practitioner_id,
            current_started_at__lt=ends_at,
            current_started_at__gt=starts_at - LONGEST_SESSION,
        )
        .exclude(client_id=client_id)
        .annotate(
            class_id=Subquery(Session.objects.filter(pk=OuterRef("session_id")).values("class_id"))
        )
        .values_list("session_id", "current_started_at", "current_ended_at", "class_id")
    )
    spans = [
        SessionSpan(session_id, begin, end, same_client=False, class_id=class_id)
        for session_id, begin, end, class_id in near
    ]
    return tuple(
        sorted(
            (one for one in spans if one.ends_at > starts_at),
            key=lambda one: (one.starts_at, one.session_id),
        )
    )


def sessions_standing(session_ids: AbstractSet[UUID]) -> frozenset[UUID]:
    """Those of some signed sessions whose record was not erased: what is known of their times
    now is all there is, of those entered in error that they share none."""
    found = Note.objects.filter(session_id__in=session_ids).values_list("session_id", flat=True)
    return frozenset(found) if session_ids else frozenset()


def _lock(practitioner_id: UUID) -> None:
    rows: QuerySet[Practitioner] = Practitioner.objects.filter(pk=practitioner_id)
    if connection.features.has_select_for_no_key_update:
        list(rows.select_for_update(no_key=True).values_list("pk"))
