"""A reminder of a consent that ends is planned with the consent. Pure."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import Final
from uuid import UUID

from clients.consent.domain import events
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

CONSENT_REMINDER = "remind_consent_expiring"
LONGEST_LEAD_DAYS: Final = 91

CONSENT_REMINDERS = JobPlan(
    "reminders of consent",
    watches=(events,),
    ignores=(events.ConsentDeclined, events.ConsentWithdrawn),
)


@CONSENT_REMINDERS.on(events.ConsentRecorded)
def recorded(event: events.ConsentRecorded, meta: RecordedEvent) -> list[Job]:
    due_at = datetime.combine(event.until, time(0), UTC) - timedelta(days=LONGEST_LEAD_DAYS)
    return [_planned(meta, event.consent_id, due_at)]


@CONSENT_REMINDERS.on(events.ConsentConfirmed)
def confirmed(event: events.ConsentConfirmed, meta: RecordedEvent) -> list[Job]:
    """It stands again."""
    return [_planned(meta, event.consent_id, meta.recorded_at)]


def _planned(meta: RecordedEvent, consent_id: UUID, due_at: datetime) -> Job:
    return Job(CONSENT_REMINDER, meta.stream, consent_id, f"v{meta.version}", due_at=due_at)
