"""Sentences of the history: what was measured, goals."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from clients.identity.domain.event_texts import event_text
from sessions.measurements.domain.events import (
    CircumferencesEnteredInError,
    CircumferencesMeasured,
    GoalKind,
    GoalSet,
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.ranges import movement_words


@event_text(ReadingRecorded)
def _reading(event: ReadingRecorded) -> str:
    helped = ", assisted" if event.assisted else ""
    return (
        f"{movement_words(event.movement).capitalize()} {event.side}, {event.motion}{helped}: "
        f"{event.degrees}° by {event.instrument}."
    )


@event_text(ReadingEnteredInError)
def _reading_in_error(event: ReadingEnteredInError) -> str:
    return f"A reading was entered in error: {event.reason}."


@event_text(GoalSet)
def _goal(event: GoalSet) -> str:
    if event.kind is GoalKind.RANGE and event.movement is not None:
        what = f"{movement_words(event.movement)} {event.side}"
        return f"Goal: {event.degrees}° of {what} ({event.source})."
    if event.kind is GoalKind.POSTURE:
        return f"Goal: no {words_text([event.finding])} any more."
    return f"Goal: pain at most {event.pain_at_most}."


@event_text(PostureRecorded)
def _posture(event: PostureRecorded) -> str:
    what = event.description or words_text([event.finding])
    return f"Posture: {what}, {event.severity}."


@event_text(PostureEnteredInError)
def _posture_in_error(event: PostureEnteredInError) -> str:
    return f"A posture finding was entered in error: {event.reason}."


@event_text(CircumferencesMeasured)
def _circumferences(event: CircumferencesMeasured) -> str:
    return f"Arm circumferences measured at {len(event.left)} points" + (
        ", as baseline." if event.baseline else "."
    )


@event_text(CircumferencesEnteredInError)
def _circumferences_in_error(event: CircumferencesEnteredInError) -> str:
    return f"Arm circumferences were entered in error: {event.reason}."
