"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from clients.domain.events import (
    ClientDetailsChanged,
    ClientRegistered,
    ConsentDeclined,
    ConsentRecorded,
    ConsentWithdrawn,
    HistoryReported,
    HistoryReviewed,
    OrderFiled,
    OrderLifted,
    PreferenceExceptionAgreed,
    PreferenceStated,
)
from clients.domain.health import HistoryContent, Site
from clients.domain.names import whole
from clients.domain.sites import spoken
from practice.domain.events import Event
from practice.domain.terms import Technique

E = TypeVar("E", bound=Event)
Sentence = Callable[[Any], str]
_known: dict[type[Event], Sentence] = {}


def says(cls: type[Event]) -> Callable[[Sentence], Sentence]:
    """Decorator of the function that puts one kind of event into a sentence."""

    def register(sentence: Sentence) -> Sentence:
        _known[cls] = sentence
        return sentence

    return register


def sentence_of(event: Event, name: str) -> str:
    """What happened, in one sentence."""
    made = _known.get(type(event))
    if made is not None:
        return made(event)
    return name.replace(".", " ").replace("_", " ").capitalize() + "."


def listed(words: object) -> str:
    """Words of a closed list, for people: "shoulder, upper back"."""
    return ", ".join(_said(word) for word in words)  # type: ignore[attr-defined]


def _said(word: object) -> str:
    return spoken(word) if isinstance(word, Technique) else str(word).replace("_", " ")


def places(sites: tuple[Site, ...]) -> str:
    """Sites for people: "left shoulder, abdomen"."""
    return listed(
        site.region if site.side == "both" else f"{site.side} {site.region}" for site in sites
    )


@says(ClientRegistered)
def _registered(event: ClientRegistered) -> str:
    return f"{whole(event.details.given_name, event.details.family_name)} was registered."


@says(ClientDetailsChanged)
def _changed(event: ClientDetailsChanged) -> str:
    return "Her details were changed."


@says(ConsentRecorded)
def _consented(event: ConsentRecorded) -> str:
    return (
        f"She consented to touch ({places(event.scope.sites)}) by "
        f"{listed(event.scope.techniques)}, until {event.until.isoformat()}."
    )


@says(ConsentDeclined)
def _declined(event: ConsentDeclined) -> str:
    return "She declined touch."


@says(ConsentWithdrawn)
def _withdrew(event: ConsentWithdrawn) -> str:
    return "She withdrew her touch consent."


@says(PreferenceStated)
def _preferred(event: PreferenceStated) -> str:
    stated = event.preference
    if stated is None:
        return "She has no preference of provider any more."
    what = "hands-on work" if stated.scope == "hands_on_only" else "all work"
    whom = f"a {stated.gender}" if stated.gender else f"{len(stated.practitioners)} named people"
    return f"She prefers {whom} for {what}."


@says(PreferenceExceptionAgreed)
def _excepted(event: PreferenceExceptionAgreed) -> str:
    if event.until is not None:
        span = f"until {event.until.isoformat()}"
    else:
        span = f"for the session on {event.on.isoformat()}" if event.on else "for one session"
    return f"She agreed to another practitioner {span} ({event.agreed_how})."


def _content(content: HistoryContent) -> str:
    found = [
        *(operation.kind for operation in content.operations),
        *("radiation" for _ in content.radiations),
        *(condition.kind for condition in content.conditions),
    ]
    return listed(found) or "nothing"


@says(HistoryReported)
def _reported(event: HistoryReported) -> str:
    return f"Health history as reported: {_content(event.content)}; neck {event.content.neck}."


@says(HistoryReviewed)
def _reviewed(event: HistoryReviewed) -> str:
    return f"Health history reviewed: {_content(event.content)}; neck {event.content.neck}."


@says(OrderFiled)
def _filed(event: OrderFiled) -> str:
    order = event.order
    kind = order.kind.replace("_", " ")
    what = f" for {listed(order.subjects)}" if order.subjects else ""
    end = f", until {order.expires_on.isoformat()}" if order.expires_on else ""
    given = order.given_on.isoformat()
    return f"Filed: {kind}{what} by {order.given_by}, given on {given}{end}."


@says(OrderLifted)
def _lifted(event: OrderLifted) -> str:
    return f"An order was lifted by {event.lifted_by} from {event.lifted_on.isoformat()}."
