"""Preferences in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.preference.domain import events
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("preference", label="Practitioner preference", watches=(events,))


@EVENT_TEXTS.on(events.PreferenceStated)
def preferred(event: events.PreferenceStated, meta: RecordedEvent) -> str:
    stated = event.preference
    if stated is None:
        return "The client has no preference of provider any more."
    what = "hands-on work" if stated.scope == "hands_on_only" else "all work"
    whom = f"a {stated.gender}" if stated.gender else f"{len(stated.practitioner_ids)} named people"
    return f"The client prefers {whom} for {what}."


@EVENT_TEXTS.on(events.PreferenceExceptionAgreed)
def excepted(event: events.PreferenceExceptionAgreed, meta: RecordedEvent) -> str:
    if event.until is not None:
        span = f"until {event.until.isoformat()}"
    else:
        span = f"for the session on {event.on.isoformat()}" if event.on else "for one session"
    return f"The client agreed to another practitioner {span} ({event.agreed_how})."
