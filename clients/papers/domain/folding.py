"""A paper after each of its events: what the slice and the rows are both made of. Pure."""

from __future__ import annotations

import msgspec

from clients.papers.domain import events
from clients.papers.domain.paper import Paper, PaperStep, with_step, without_step
from clients.papers.domain.terms import PaperStepKind

Step = (
    events.PaperSent
    | events.PaperReminded
    | events.PaperAnswered
    | events.PaperOrderLinked
    | events.PaperWithdrawn
)


def asked(event: events.PaperAsked) -> Paper:
    """A paper that was just asked for."""
    return Paper(id=event.paper_id, content=event.content, zone=event.zone)


def stepped(paper: Paper, event: Step) -> Paper:
    """The paper after one more step."""
    return with_step(paper, _step(event))


def corrected(paper: Paper, event: events.PaperCorrected) -> Paper:
    """The paper as it should have been asked for."""
    reasons = (*paper.corrections, event.reason)
    return msgspec.structs.replace(paper, content=event.content, corrections=reasons)


def in_error(paper: Paper, event: events.PaperStepInError) -> Paper:
    """The paper without what did not happen so."""
    return without_step(paper, event.step_id, event.reason)


def _step(event: Step) -> PaperStep:
    match event:
        case events.PaperSent():
            kind, on, channel = PaperStepKind.SENT, event.sent_on, event.channel
            return PaperStep(id=event.step_id, kind=kind, on=on, channel=channel, words=event.words)
        case events.PaperReminded():
            kind, on, channel = PaperStepKind.REMINDED, event.reminded_on, event.channel
            return PaperStep(id=event.step_id, kind=kind, on=on, channel=channel, words=event.words)
        case events.PaperAnswered():
            return PaperStep(
                id=event.step_id,
                kind=PaperStepKind.ANSWERED,
                on=event.answered_on,
                by=event.answered_by,
                outcome=event.outcome,
                expires_on=event.expires_on,
                order_id=event.order_id,
                words=event.words,
            )
        case events.PaperOrderLinked():
            return PaperStep(
                id=event.step_id,
                kind=PaperStepKind.ORDER_LINKED,
                on=event.linked_on,
                order_id=event.order_id,
            )
        case events.PaperWithdrawn():
            return PaperStep(
                id=event.step_id,
                kind=PaperStepKind.WITHDRAWN,
                on=event.withdrawn_on,
                words=event.reason,
            )
