"""Treatment goals and home exercise in one plain sentence each. Pure."""

from __future__ import annotations

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.goals.domain import events

EVENT_TEXTS = EventTexts("treatment_goals", label="Treatment goal", watches=(events,))


@EVENT_TEXTS.on(events.TreatmentGoalSet)
def agreed(event: events.TreatmentGoalSet, meta: RecordedEvent) -> str:
    return f"Treatment goal {event.number} was agreed on: {event.content.text}"


@EVENT_TEXTS.on(events.TreatmentGoalReviewed)
def reviewed(event: events.TreatmentGoalReviewed, meta: RecordedEvent) -> str:
    found = event.outcome.replace("_", " ")
    now = f" It is now: {event.content.text}" if event.content else ""
    return f"A treatment goal was reviewed: {found}. {event.reason}".strip() + now


@EVENT_TEXTS.on(events.TreatmentGoalReviewInError)
def review_in_error(event: events.TreatmentGoalReviewInError, meta: RecordedEvent) -> str:
    return f"The review of a treatment goal was taken back: {event.reason}"


@EVENT_TEXTS.on(events.TreatmentGoalEnteredInError)
def in_error(event: events.TreatmentGoalEnteredInError, meta: RecordedEvent) -> str:
    return f"A treatment goal was entered in error: {event.reason}"


@EVENT_TEXTS.on(events.HomeExerciseFollowed)
def followed(event: events.HomeExerciseFollowed, meta: RecordedEvent) -> str:
    how = event.followed.replace("_", " ")
    often = f", {event.times} times" if event.times is not None else ""
    days = f"{event.from_day.isoformat()} to {event.to_day.isoformat()}"
    return f"Home exercise {days}: {how}{often}. {event.words}".strip()


@EVENT_TEXTS.on(events.HomeExerciseReportInError)
def report_in_error(event: events.HomeExerciseReportInError, meta: RecordedEvent) -> str:
    return f"A report of home exercise was taken back: {event.reason}"
