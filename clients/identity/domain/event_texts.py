"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from clients.identity.domain.events import ClientDetailsChanged, ClientRegistered
from clients.identity.domain.names import full_name
from practice.core.events import Event

E = TypeVar("E", bound=Event)
EventText = Callable[[Any], str]
_known: dict[type[Event], EventText] = {}


def event_text(cls: type[Event]) -> Callable[[EventText], EventText]:
    """Decorator of the function that puts one kind of event into a sentence."""

    def register(sentence: EventText) -> EventText:
        _known[cls] = sentence
        return sentence

    return register


def text_of_event(event: Event, name: str) -> str:
    """What happened, in one sentence."""
    made = _known.get(type(event))
    if made is not None:
        return made(event)
    return name.replace(".", " ").replace("_", " ").capitalize() + "."


@event_text(ClientRegistered)
def _registered(event: ClientRegistered) -> str:
    return f"{full_name(event.details.given_name, event.details.family_name)} was registered."


@event_text(ClientDetailsChanged)
def _changed(event: ClientDetailsChanged) -> str:
    return "The client's details were changed."
