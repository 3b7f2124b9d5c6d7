"""Sentences of the history: what was measured, goals."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from practice.core.confirmation import confirmed_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.measurements.domain import events
from sessions.measurements.domain.ranges import movement_words

EVENT_TEXTS = EventTexts("measurements", label="Measurement", watches=(events,))


@EVENT_TEXTS.on(events.ReadingRecorded)
def reading(event: events.ReadingRecorded, meta: RecordedEvent) -> str:
    helped = ", assisted" if event.assisted else ""
    return (
        f"{movement_words(event.movement).capitalize()} {event.side}, {event.motion}{helped}: "
        f"{event.degrees}° by {event.instrument}.{confirmed_text(event.confirmed)}"
    )


@EVENT_TEXTS.on(events.ReadingEnteredInError)
def reading_in_error(event: events.ReadingEnteredInError, meta: RecordedEvent) -> str:
    return f"A reading was entered in error: {event.reason}."


@EVENT_TEXTS.on(events.GoalSet)
def goal(event: events.GoalSet, meta: RecordedEvent) -> str:
    if event.kind is events.GoalKind.RANGE and event.movement is not None:
        what = f"{movement_words(event.movement)} {event.side}"
        return f"Goal: {event.degrees}° of {what} ({event.source})."
    if event.kind is events.GoalKind.POSTURE:
        return f"Goal: no {words_text([event.finding])} any more."
    return f"Goal: pain at most {event.pain_at_most}."


@EVENT_TEXTS.on(events.PostureRecorded)
def posture(event: events.PostureRecorded, meta: RecordedEvent) -> str:
    what = event.description or words_text([event.finding])
    return f"Posture: {what}, {event.severity}.{confirmed_text(event.confirmed)}"


@EVENT_TEXTS.on(events.PostureEnteredInError)
def posture_in_error(event: events.PostureEnteredInError, meta: RecordedEvent) -> str:
    return f"A posture finding was entered in error: {event.reason}."


@EVENT_TEXTS.on(events.CircumferencesMeasured)
def circumferences(event: events.CircumferencesMeasured, meta: RecordedEvent) -> str:
    baseline = ", as baseline" if event.baseline else ""
    measured = f"Arm circumferences measured at {len(event.left)} points{baseline}."
    return measured + confirmed_text(event.confirmed)


@EVENT_TEXTS.on(events.CircumferencesEnteredInError)
def circumferences_in_error(event: events.CircumferencesEnteredInError, meta: RecordedEvent) -> str:
    return f"Arm circumferences were entered in error: {event.reason}."
