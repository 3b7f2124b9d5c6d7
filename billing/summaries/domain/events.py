"""The events of what left the practice."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import Event, event, upcaster


@event("record.disclosed")
class RecordDisclosed(Event, frozen=True, kw_only=True):
    """Something of the record left the practice (45 CFR 164.528: date, to whom, what, why).

    ``sha256`` has the digest of each form in which it left, in hexadecimal, by the form's name.
    """

    disclosure_id: UUID
    what: str
    recipient: str
    purpose: str
    starts_on: date | None = None
    ends_on: date | None = None
    authorization_id: UUID | None = None
    payer_id: UUID | None = None
    sha256: dict[str, str] = msgspec.field(default_factory=dict)


@event("visit_summary.kept", version=2)
class VisitSummaryKept(Event, frozen=True, kw_only=True):
    """A visit summary as it was sent: the text of each form by the form's name, never changed.

    Under the client's key, so that an erasure destroys it; the disclosure of the same id keeps
    the digests. ``diagnoses``: whether it holds any; ``overruled``: why it was sent although
    units of its visits waited for a person's choice.
    """

    summary_id: UUID
    authorization_id: UUID
    starts_on: date
    ends_on: date
    forms: dict[str, str]
    diagnoses: bool = False
    overruled: str = ""


@upcaster("visit_summary.kept", from_version=1)
def _as_written(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 was sent whatever waited, and nobody said why."""
    return payload
