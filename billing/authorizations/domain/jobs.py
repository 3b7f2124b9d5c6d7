"""Reminders of an authorization are planned with it and with what uses it. Pure."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from uuid import UUID

from billing.authorizations.domain import events
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

ENDING_REMINDER = "remind_authorization_ending"
LOW_REMINDER = "remind_authorization_low"
LONGEST_LEAD_DAYS: Final = 91

AUTHORIZATION_REMINDERS = JobPlan(
    "reminders of authorizations",
    watches=(events,),
    ignores=(
        events.AuthorizationVoided,
        events.VisitOverridden,
        events.VisitGivenBack,
        events.VisitCoveredLater,
    ),
)


@AUTHORIZATION_REMINDERS.on(events.AuthorizationRecorded, events.AuthorizationAmended)
def recorded(
    event: events.AuthorizationRecorded | events.AuthorizationAmended, meta: RecordedEvent
) -> list[Job]:
    return [
        _ending_job(meta, event.authorization_id, event.terms.ends_on),
        _low_job(meta, event.authorization_id),
    ]


@AUTHORIZATION_REMINDERS.on(events.AuthorizationEnded)
def ended(event: events.AuthorizationEnded, meta: RecordedEvent) -> list[Job]:
    return [_ending_job(meta, event.authorization_id, event.ends_on)]


@AUTHORIZATION_REMINDERS.on(events.AuthorizationReopened)
def reopened(event: events.AuthorizationReopened, meta: RecordedEvent) -> list[Job]:
    return [
        Job(
            ENDING_REMINDER,
            meta.stream,
            event.authorization_id,
            f"v{meta.version}",
            due_at=meta.recorded_at,
        )
    ]


@AUTHORIZATION_REMINDERS.on(events.VisitCalculated)
def calculated(event: events.VisitCalculated, meta: RecordedEvent) -> list[Job]:
    """Where something of it was used; giving back leaves no less."""
    return [
        _low_job(meta, one.authorization_id)
        for one in event.usage_changes
        if one.visits > 0 or one.units > 0 or one.minutes > 0
    ]


def _ending_job(meta: RecordedEvent, authorization_id: UUID, last_day: date) -> Job:
    due_at = datetime.combine(last_day, time(0), UTC) - timedelta(days=LONGEST_LEAD_DAYS)
    return Job(ENDING_REMINDER, meta.stream, authorization_id, f"v{meta.version}", due_at=due_at)


def _low_job(meta: RecordedEvent, authorization_id: UUID) -> Job:
    return Job(
        LOW_REMINDER,
        meta.stream,
        authorization_id,
        f"v{meta.version}",
        due_at=meta.recorded_at,
    )
