"""The event of what left the practice."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from practice.core.events import Event, event


@event("record.disclosed")
class RecordDisclosed(Event, frozen=True, kw_only=True):
    """Something of the record left the practice (45 CFR 164.528: date, to whom, what, why)."""

    disclosure_id: UUID
    what: str
    recipient: str
    purpose: str
    starts_on: date | None = None
    ends_on: date | None = None
    authorization_id: UUID | None = None
    payer_id: UUID | None = None
