"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from clients.health.domain.content import HistoryContent
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.health.domain.wording import words_text
from clients.identity.domain.event_texts import event_text


def _content(content: HistoryContent) -> str:
    found = [
        *(operation.kind for operation in content.operations),
        *("radiation" for _ in content.radiations),
        *(condition.kind for condition in content.conditions),
    ]
    return words_text(found) or "nothing"


@event_text(HistoryReported)
def _reported(event: HistoryReported) -> str:
    return f"Health history as reported: {_content(event.content)}; neck {event.content.neck}."


@event_text(HistoryReviewed)
def _reviewed(event: HistoryReviewed) -> str:
    return f"Health history reviewed: {_content(event.content)}; neck {event.content.neck}."
