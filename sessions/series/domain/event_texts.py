"""What happened to a series, in one sentence each, for the history of a record. Pure."""

from __future__ import annotations

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.series.domain import events

EVENT_TEXTS = EventTexts("session_series", label="Series of sessions", watches=(events,))


@EVENT_TEXTS.on(events.SeriesBooked)
def booked(event: events.SeriesBooked, meta: RecordedEvent) -> str:
    left = f", {len(event.refused)} could not be" if event.refused else ""
    return f"A series was booked ({event.rule}): {event.booked} sessions{left}."


@EVENT_TEXTS.on(events.SeriesMoved)
def moved(event: events.SeriesMoved, meta: RecordedEvent) -> str:
    left = f", {len(event.refused)} could not be" if event.refused else ""
    day = event.from_day.isoformat()
    return f"A series was moved from {day} on: {len(event.moved)} sessions{left}. {event.reason}"


@EVENT_TEXTS.on(events.SeriesCancelled)
def cancelled(event: events.SeriesCancelled, meta: RecordedEvent) -> str:
    day, many = event.from_day.isoformat(), len(event.cancelled)
    return f"The {event.by} cancelled a series from {day} on, {many} sessions: {event.reason}"
