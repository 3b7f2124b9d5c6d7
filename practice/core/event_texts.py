"""One plain sentence for each kind of event, for the history of a record. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from types import ModuleType

from practice.core.dispatch import Answering
from practice.core.events import Event, RecordedEvent


class EventTexts(Answering[str]):
    """The sentences for the events of one feature; ``label``: what a reader calls their kind."""

    def __init__(
        self,
        name: str,
        *,
        label: str = "",
        watches: tuple[ModuleType, ...] = (),
        ignores: tuple[type[Event], ...] = (),
    ) -> None:
        super().__init__(name, watches=watches, ignores=ignores)
        self.label = label or name.replace("_", " ").capitalize()


def text_of_event(recorded: RecordedEvent, event_texts: Iterable[EventTexts]) -> str:
    """What happened, in one sentence; the event's name in words where no text takes it."""
    for one in event_texts:
        made = one.answer(recorded)
        if made is not None:
            return made
    return recorded.type.replace(".", " ").replace("_", " ").capitalize() + "."
