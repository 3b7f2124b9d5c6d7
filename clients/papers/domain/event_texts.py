"""Papers in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.papers.domain import events
from clients.papers.domain.events import PaperContent
from clients.papers.domain.terms import PaperKind, PaperOutcome
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("papers", label="Paper", watches=(events,))
KINDS = {
    PaperKind.CLEARANCE: "clearance",
    PaperKind.REFERRAL: "referral",
    PaperKind.PLAN_SIGNATURE: "signed plan of care",
}
ANSWERS = {
    PaperOutcome.GIVEN: "given",
    PaperOutcome.PARTLY: "given in part",
    PaperOutcome.REFUSED: "refused",
}


def paper_title(kind: PaperKind, title: str) -> str:
    """What a paper is called: its kind, or the practice's own title."""
    return KINDS.get(kind, title)


@EVENT_TEXTS.on(events.PaperAsked)
def asked(event: events.PaperAsked, meta: RecordedEvent) -> str:
    return f"Asked for a paper: {_content(event.content)}."


@EVENT_TEXTS.on(events.PaperSent)
def sent(event: events.PaperSent, meta: RecordedEvent) -> str:
    how = event.channel.replace("_", " ")
    return f"The request for a paper was sent on {event.sent_on.isoformat()} by {how}."


@EVENT_TEXTS.on(events.PaperReminded)
def reminded(event: events.PaperReminded, meta: RecordedEvent) -> str:
    how = event.channel.replace("_", " ")
    return f"Reminded of a paper on {event.reminded_on.isoformat()} by {how}."


@EVENT_TEXTS.on(events.PaperAnswered)
def answered(event: events.PaperAnswered, meta: RecordedEvent) -> str:
    end = f", until {event.expires_on.isoformat()}" if event.expires_on else ""
    day = event.answered_on.isoformat()
    return f"A paper was {ANSWERS[event.outcome]} by {event.answered_by} on {day}{end}."


@EVENT_TEXTS.on(events.PaperOrderLinked)
def order_linked(event: events.PaperOrderLinked, meta: RecordedEvent) -> str:
    return "The order recorded from a paper's answer was named."


@EVENT_TEXTS.on(events.PaperWithdrawn)
def withdrawn(event: events.PaperWithdrawn, meta: RecordedEvent) -> str:
    return f"A paper is not waited for any more: {event.reason}"


@EVENT_TEXTS.on(events.PaperCorrected)
def corrected(event: events.PaperCorrected, meta: RecordedEvent) -> str:
    return f"A paper was put right ({event.reason}): {_content(event.content)}."


@EVENT_TEXTS.on(events.PaperStepInError)
def step_in_error(event: events.PaperStepInError, meta: RecordedEvent) -> str:
    what = event.step.replace("_", " ")
    return f"An entry on a paper ({what}) was taken back: {event.reason}"


def _content(content: PaperContent) -> str:
    what = paper_title(content.kind, content.title)
    needed = content.needed_by.isoformat()
    return f"{what}, of {content.asked_of.name}, needed by {needed}"
