"""Questions on the practice's kinds of session."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from uuid import UUID

from django.db.models import QuerySet

from practice.core.reasons import existing, invalid
from practice.work.request_cache import memoize
from sessions.calendar.domain.held_time import Buffers
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds import models
from sessions.kinds.domain.kind import SessionKind


def kind_list() -> QuerySet[models.SessionKind]:
    """Every kind, those out of use too."""
    return models.SessionKind.objects.all()


def kind_get(kind_id: UUID) -> models.SessionKind:
    """One of them. Raises Rejected 404."""
    return existing(kind_list().filter(pk=kind_id).first(), "kind of session")


def kinds() -> Mapping[UUID, SessionKind]:
    """All kinds by id, kept in the process for as long as no row of the practice changes."""
    return memoize(
        "session kinds", lambda: MappingProxyType({row.pk: _kind(row) for row in kind_list()})
    )


def kind_named(kind_id: UUID) -> SessionKind:
    """The kind that a request names. Raises Rejected 400 with the field."""
    if (found := kinds().get(kind_id)) is None:
        raise invalid("kind_id", "There is no such kind of session.")
    return found


def _kind(row: models.SessionKind) -> SessionKind:
    return SessionKind(
        id=row.pk,
        name=row.name,
        purpose=SessionPurpose(row.purpose),
        default_minutes=row.default_minutes,
        lengths=tuple(row.lengths),
        buffers=Buffers(row.buffer_before, row.buffer_after),
        hands_on=row.hands_on,
        private_room=row.private_room,
        is_active=row.is_active,
    )
