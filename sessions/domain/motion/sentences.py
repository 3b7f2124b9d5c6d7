"""Sentences of the history: what was measured, goals."""

from __future__ import annotations

from clients.domain.sentences import listed, says
from sessions.domain.motion.events import (
    GirthsEnteredInError,
    GirthsMeasured,
    GoalKind,
    GoalSet,
    PostureEnteredInError,
    PostureFound,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.domain.motion.ranges import words


@says(ReadingRecorded)
def _reading(event: ReadingRecorded) -> str:
    helped = ", helped" if event.assisted else ""
    return (
        f"{words(event.movement).capitalize()} {event.side}, {event.motion}{helped}: "
        f"{event.degrees}° by {event.instrument}."
    )


@says(ReadingEnteredInError)
def _reading_in_error(event: ReadingEnteredInError) -> str:
    return f"A reading was entered in error: {event.reason}."


@says(GoalSet)
def _goal(event: GoalSet) -> str:
    if event.kind is GoalKind.RANGE and event.movement is not None:
        return f"Goal: {event.degrees}° of {words(event.movement)} {event.side} ({event.source})."
    if event.kind is GoalKind.POSTURE:
        return f"Goal: no {listed([event.finding])} any more."
    return f"Goal: pain at most {event.pain_at_most}."


@says(PostureFound)
def _posture(event: PostureFound) -> str:
    what = event.described or listed([event.finding])
    return f"Posture: {what}, {event.severity}."


@says(PostureEnteredInError)
def _posture_in_error(event: PostureEnteredInError) -> str:
    return f"A posture finding was entered in error: {event.reason}."


@says(GirthsMeasured)
def _girths(event: GirthsMeasured) -> str:
    return f"Arm girths measured at {len(event.left)} points" + (
        ", as baseline." if event.baseline else "."
    )


@says(GirthsEnteredInError)
def _girths_in_error(event: GirthsEnteredInError) -> str:
    return f"Arm girths were entered in error: {event.reason}."
