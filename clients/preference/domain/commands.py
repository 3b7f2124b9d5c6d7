"""What the clients app is asked to do, as plain values."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Gender

# Provider preference


class StatePreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom the client prefers: a gender or named people; neither: anyone."""

    scope: PreferenceScope = PreferenceScope.ALL_WORK
    gender: Gender | None = None
    practitioner_ids: tuple[UUID, ...] = ()
    occurred_at: datetime | None = None


class AgreeException(msgspec.Struct, frozen=True, kw_only=True):
    """An exception: one session (by id or day) or until a day, and how the client agreed."""

    practitioner_id: UUID
    agreed_how: str
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None
    occurred_at: datetime | None = None
