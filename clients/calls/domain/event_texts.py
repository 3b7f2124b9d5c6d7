"""Calls in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.calls.domain import events
from clients.calls.domain.events import CallOutcome
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("calls", label="Call", watches=(events,))

OUTCOME_WORDS = {
    CallOutcome.REACHED: "reached",
    CallOutcome.LEFT_MESSAGE: "a message was left",
    CallOutcome.NO_ANSWER: "no answer",
    CallOutcome.CALL_AGAIN: "to be called again",
}


@EVENT_TEXTS.on(events.ClientCalled)
def called(event: events.ClientCalled, meta: RecordedEvent) -> str:
    about = ", ".join(sorted({one.reason.replace("_", " ") for one in event.about}))
    what = f" about: {about}" if about else ""
    return f"The client was called{what}; {OUTCOME_WORDS[event.outcome]}. {event.note}".strip()
