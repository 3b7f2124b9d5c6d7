"""A reminder of a paper is planned with what asks for it. Pure."""

from __future__ import annotations

from datetime import UTC, datetime, time
from uuid import UUID

from clients.papers.domain import events
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

PAPER_REMINDER = "remind_paper_unanswered"

PAPER_REMINDERS = JobPlan(
    "reminders of papers",
    watches=(events,),
    ignores=(
        events.PaperSent,
        events.PaperReminded,
        events.PaperAnswered,
        events.PaperOrderLinked,
        events.PaperWithdrawn,
    ),
)


@PAPER_REMINDERS.on(events.PaperAsked, events.PaperCorrected)
def asked_for(event: events.PaperAsked | events.PaperCorrected, meta: RecordedEvent) -> list[Job]:
    needed = datetime.combine(event.content.needed_by, time(0), UTC)
    return [_planned(meta, event.paper_id, needed)]


@PAPER_REMINDERS.on(events.PaperStepInError)
def step_in_error(event: events.PaperStepInError, meta: RecordedEvent) -> list[Job]:
    """It may be waited for again."""
    return [_planned(meta, event.paper_id, meta.recorded_at)]


def _planned(meta: RecordedEvent, paper_id: UUID, due_at: datetime) -> Job:
    return Job(PAPER_REMINDER, meta.stream, paper_id, f"v{meta.version}", due_at=due_at)
