"""One plain sentence for each kind of event, for the history of a record. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from practice.core.dispatch import Answering
from practice.core.events import RecordedEvent


class EventTexts(Answering[str]):
    """The sentences for the events of one feature."""


def text_of_event(recorded: RecordedEvent, event_texts: Iterable[EventTexts]) -> str:
    """What happened, in one sentence; the event's name in words where no text takes it."""
    for one in event_texts:
        made = one.answer(recorded)
        if made is not None:
            return made
    return recorded.type.replace(".", " ").replace("_", " ").capitalize() + "."
