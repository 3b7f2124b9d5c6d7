"""The health history in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.health.domain import events
from clients.health.domain.content import HistoryContent
from clients.health.domain.wording import history_text, words_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("health", label="Health", watches=(events,))


def _neck(content: HistoryContent) -> str:
    return f"neck {words_text([content.neck])}"


@EVENT_TEXTS.on(events.HistoryReported)
def reported(event: events.HistoryReported, meta: RecordedEvent) -> str:
    return f"Health history as reported: {history_text(event.content)}; {_neck(event.content)}."


@EVENT_TEXTS.on(events.HistoryReviewed)
def reviewed(event: events.HistoryReviewed, meta: RecordedEvent) -> str:
    return f"Health history reviewed: {history_text(event.content)}; {_neck(event.content)}."
