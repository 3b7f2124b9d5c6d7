"""Events of a client's health history: reported, reviewed."""

from __future__ import annotations

from uuid import UUID

from clients.health.domain.content import HistoryContent
from practice.core.events import Event, event

# Health history


@event("history.reported")
class HistoryReported(Event, frozen=True, kw_only=True):
    """A health history as the desk was told it: it narrows at once and frees nothing."""

    report_id: UUID
    content: HistoryContent
    informant: str = ""


@event("history.reviewed")
class HistoryReviewed(Event, frozen=True, kw_only=True):
    """A practitioner's history, right as of now. ``covers`` are the reports taken into it."""

    review_id: UUID
    content: HistoryContent
    practitioner_id: UUID | None
    covers: tuple[UUID, ...] = ()
