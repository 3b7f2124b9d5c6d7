"""Events of a client's provider preference and its exceptions."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.preference.domain.terms import PreferenceScope
from practice.core.events import Event, event
from practice.core.terms import Gender

# Provider preference


class StatedPreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom the client said they prefer: a gender or named people, and for what."""

    scope: PreferenceScope
    gender: Gender | None = None
    practitioner_ids: tuple[UUID, ...] = ()


@event("preference.stated")
class PreferenceStated(Event, frozen=True, kw_only=True):
    """Whom the client prefers from now on; None: anyone. Exceptions to an earlier one end."""

    preference: StatedPreference | None


@event("preference.exception_agreed")
class PreferenceExceptionAgreed(Event, frozen=True, kw_only=True):
    """The client agreed in person to a practitioner against the preference.

    For one session (by its id, or by its day ``on``) or ``until`` a day.
    """

    exception_id: UUID
    practitioner_id: UUID
    agreed_how: str
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None
