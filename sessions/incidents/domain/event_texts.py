"""Safety incidents in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.incidents.domain import events
from sessions.incidents.domain.terms import IncidentKind

EVENT_TEXTS = EventTexts("incidents", label="Safety incident", watches=(events,))
KINDS = {
    IncidentKind.FALL: "a fall",
    IncidentKind.FAINT: "a faint",
    IncidentKind.SKIN_TORN: "skin was torn",
    IncidentKind.LASTING_PAIN: "pain that stayed",
    IncidentKind.OTHER: "something else",
}


@EVENT_TEXTS.on(events.IncidentReported)
def reported(event: events.IncidentReported, meta: RecordedEvent) -> str:
    return f"A safety incident was reported: {KINDS[event.content.kind]}."


@EVENT_TEXTS.on(events.IncidentTold)
def told(event: events.IncidentTold, meta: RecordedEvent) -> str:
    whom = event.whom.replace("_", " ")
    name = f" ({event.name})" if event.name else ""
    return f"Of a safety incident was told: {whom}{name}."


@EVENT_TEXTS.on(events.IncidentFollowedUp)
def followed_up(event: events.IncidentFollowedUp, meta: RecordedEvent) -> str:
    return f"A safety incident was followed up: {event.words}"


@EVENT_TEXTS.on(events.IncidentClosed)
def closed(event: events.IncidentClosed, meta: RecordedEvent) -> str:
    return f"The follow-up of a safety incident was closed: {event.words}"


@EVENT_TEXTS.on(events.IncidentReopened)
def reopened(event: events.IncidentReopened, meta: RecordedEvent) -> str:
    return f"A safety incident is followed up again: {event.reason}"


@EVENT_TEXTS.on(events.IncidentCorrected)
def corrected(event: events.IncidentCorrected, meta: RecordedEvent) -> str:
    return f"A safety incident was put right ({event.reason}): {KINDS[event.content.kind]}."


@EVENT_TEXTS.on(events.IncidentStepInError)
def step_in_error(event: events.IncidentStepInError, meta: RecordedEvent) -> str:
    what = event.step.replace("_", " ")
    return f"An entry on a safety incident ({what}) was taken back: {event.reason}"


@EVENT_TEXTS.on(events.IncidentEnteredInError)
def in_error(event: events.IncidentEnteredInError, meta: RecordedEvent) -> str:
    return f"A safety incident was entered in error: {event.reason}"
