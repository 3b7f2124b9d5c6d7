"""A disclosure in a plain sentence, for the history of a record. Pure."""

from __future__ import annotations

from billing.summaries.domain import events
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("disclosures", label="Disclosure", watches=(events,))


@EVENT_TEXTS.on(events.RecordDisclosed)
def disclosed(event: events.RecordDisclosed, meta: RecordedEvent) -> str:
    what = event.what.replace("_", " ")
    return f"Disclosed to {event.recipient}: {what}, for {event.purpose}."


@EVENT_TEXTS.on(events.VisitSummaryKept)
def kept(event: events.VisitSummaryKept, meta: RecordedEvent) -> str:
    why = f", while units waited for a choice: {event.overruled}." if event.overruled else "."
    period = f"{event.starts_on} to {event.ends_on}"
    return f"The visit summary of {period} was kept as it was sent{why}"
