"""The health history in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.health.domain import events
from clients.health.domain.content import HistoryContent
from clients.health.domain.wording import words_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("health", watches=(events,))


def _content(content: HistoryContent) -> str:
    found = [
        *(operation.kind for operation in content.operations),
        *("radiation" for _ in content.radiations),
        *(condition.kind for condition in content.conditions),
    ]
    return words_text(found) or "nothing"


@EVENT_TEXTS.on(events.HistoryReported)
def reported(event: events.HistoryReported, meta: RecordedEvent) -> str:
    return f"Health history as reported: {_content(event.content)}; neck {event.content.neck}."


@EVENT_TEXTS.on(events.HistoryReviewed)
def reviewed(event: events.HistoryReviewed, meta: RecordedEvent) -> str:
    return f"Health history reviewed: {_content(event.content)}; neck {event.content.neck}."
