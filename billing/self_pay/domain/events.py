"""That a client pays for themself, or does not any more."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from practice.core.events import Event, event


@event("self_pay.stated")
class SelfPayStated(Event, frozen=True, kw_only=True):
    """From ``starts_on`` on the client pays for themself, or (false) does not any more; it holds
    until the day from which something else was stated."""

    statement_id: UUID
    self_paying: bool
    starts_on: date
    reason: str
