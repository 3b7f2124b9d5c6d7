"""A paper asked for, sent, reminded of, answered, withdrawn, put right.

A paper opens nothing: what a prescriber allows is an order, recorded on its own and named here.
What they refuse narrows at once: a clearance that is refused is filed as their restriction.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from uuid import UUID

import msgspec

from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from clients.orders.domain.decisions import file_order, filed_order
from clients.orders.domain.order import MedicalOrder
from clients.papers.domain import commands, events
from clients.papers.domain.events import PaperContent
from clients.papers.domain.orders_of_answers import check_order_fits, refusal_order
from clients.papers.domain.paper import Paper
from clients.papers.domain.settings import PaperSettings
from clients.papers.domain.state import PapersState
from clients.papers.domain.terms import PaperKind, PaperOutcome, PaperStatus
from practice.core.decisions import Context, Decided
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, existing, invalid


def ask_for_paper(
    command: commands.AskForPaper,
    details: ClientDetails,
    settings: PaperSettings,
    ctx: Context,
) -> Decided:
    """A paper asked of somebody, and sent if it was. Raises Rejected 400 for what cannot be."""
    asked = events.PaperAsked(
        paper_id=ctx.new_id(),
        content=_content(command, details, settings, ctx),
        zone=details.zone,
        needed_by_setting=command.needed_by is None,
    )
    if command.sent is None:
        return [asked]
    day = _day_since(asked.content.asked_on, details.zone, "sent", command.sent.on, ctx)
    return [asked, _sent(asked.paper_id, day, command.sent, ctx)]


def send_paper(
    state: PapersState, paper_id: UUID, command: commands.SendPaper, ctx: Context
) -> Decided:
    """The request went out; sent again it is one more step.

    Raises Rejected 409 for a paper that nobody waits for.
    """
    paper = _waiting(state, paper_id)
    return [_sent(paper.id, _step_day(paper, "on", command.on, ctx), command, ctx)]


def remind_of_paper(
    state: PapersState, paper_id: UUID, command: commands.SendPaper, ctx: Context
) -> Decided:
    """Whoever was asked was reminded. Raises Rejected 409 for a paper that nobody waits for."""
    paper = _waiting(state, paper_id)
    return [
        events.PaperReminded(
            paper_id=paper.id,
            step_id=ctx.new_id(),
            reminded_on=_step_day(paper, "on", command.on, ctx),
            channel=command.channel,
            words=command.words,
        )
    ]


def answer_paper(
    state: PapersState,
    orders: Sequence[MedicalOrder],
    details: ClientDetails,
    paper_id: UUID,
    command: commands.AnswerPaper,
    ctx: Context,
) -> Decided:
    """The answer came. A clearance that is refused, with no order of its own named, is filed as
    a restriction of what was asked for, until a practitioner lifts it.

    Raises Rejected 409 for a paper that nobody waits for, 400 for an answer that cannot be.
    """
    paper = _waiting(state, paper_id)
    day = _step_day(paper, "answered_on", command.answered_on, ctx)
    refused = command.outcome is PaperOutcome.REFUSED
    if refused and command.expires_on is not None:
        raise invalid("expires_on", "A paper that was refused has no last day.")
    dates.check_order("expires_on", day, command.expires_on)
    if command.order_id is not None:
        check_order_fits(paper, orders, command.order_id)
    by, order_id = command.answered_by or paper.content.asked_of.name, command.order_id
    filed: Decided = ()
    if refused and paper.content.kind is PaperKind.CLEARANCE and order_id is None:
        refusal = refusal_order(paper.content, by, day, command.words)
        filed = file_order(refusal, details, clearance_days=0, ctx=ctx)
        order_id = filed_order(filed).id
    answered = events.PaperAnswered(
        paper_id=paper.id,
        step_id=ctx.new_id(),
        answered_on=day,
        answered_by=by,
        outcome=command.outcome,
        expires_on=command.expires_on,
        order_id=order_id,
        words=command.words,
    )
    return [*filed, answered]


def link_order(
    state: PapersState,
    orders: Sequence[MedicalOrder],
    paper_id: UUID,
    command: commands.LinkOrder,
    ctx: Context,
) -> Decided:
    """Name the order that was recorded from an answer; named again it changes nothing.

    Raises Rejected 409 where no answer came.
    """
    paper = _paper(state, paper_id)
    if paper.status is not PaperStatus.ANSWERED:
        raise Rejected("paper_not_answered", "No answer is on record: record it with the order.")
    check_order_fits(paper, orders, command.order_id)
    if command.order_id in paper.order_ids:
        return []
    return [
        events.PaperOrderLinked(
            paper_id=paper.id,
            step_id=ctx.new_id(),
            linked_on=local_day(ctx.now, paper.zone),
            order_id=command.order_id,
        )
    ]


def withdraw_paper(
    state: PapersState, paper_id: UUID, command: commands.EndPaper, ctx: Context
) -> Decided:
    """The paper is not waited for any more. Raises Rejected 409 for one that nobody waits for."""
    paper = _waiting(state, paper_id)
    return [
        events.PaperWithdrawn(
            paper_id=paper.id,
            step_id=ctx.new_id(),
            withdrawn_on=local_day(ctx.now, paper.zone),
            reason=command.reason,
        )
    ]


def correct_paper(
    state: PapersState,
    paper_id: UUID,
    command: commands.CorrectPaper,
    details: ClientDetails,
    settings: PaperSettings,
    ctx: Context,
) -> Decided:
    """What was asked of whom is put right, as a whole.

    Raises Rejected 409 where it says what stands, or where an order that is linked does not fit.
    """
    paper = _paper(state, paper_id)
    content = _content(_as_corrected(paper.content, command), details, settings, ctx)
    if content == paper.content:
        raise Rejected("nothing_to_correct", "This is what is on record already.")
    first = min((one.on for one in paper.steps if not one.in_error), default=content.asked_on)
    if content.asked_on > first:
        raise invalid("asked_on", f"Something happened to it on {first.isoformat()} already.")
    if paper.order_ids and content.kind is not paper.content.kind:
        raise Rejected(
            "orders_linked", "Orders are linked to it as it is: take those steps back first."
        )
    return [events.PaperCorrected(paper_id=paper.id, content=content, reason=command.reason)]


def take_step_back(state: PapersState, paper_id: UUID, command: commands.TakeStepBack) -> Decided:
    """Something recorded of a paper did not happen so: it counts no more; the paper waits again
    where that was what ended its waiting. Raises Rejected 409 for a step taken back before."""
    paper = _paper(state, paper_id)
    step = existing(next((one for one in paper.steps if one.id == command.step_id), None), "step")
    if step.in_error:
        raise Rejected("step_in_error_already", "This step was taken back already.")
    return [
        events.PaperStepInError(
            paper_id=paper.id, step_id=step.id, step=step.kind, reason=command.reason
        )
    ]


def _as_corrected(content: PaperContent, command: commands.CorrectPaper) -> commands.AskForPaper:
    """The request as it should have been; a paper that is no other has no title left."""
    given = {
        name: value
        for name, value in msgspec.structs.asdict(command).items()
        if name != "reason" and value is not None
    }
    if command.expires_on is None:
        given["expires_on"] = None
    elif command.expires_on is msgspec.UNSET:
        del given["expires_on"]
    if command.title is None and command.kind not in (None, PaperKind.OTHER):
        given["title"] = ""
    return commands.AskForPaper(**{**msgspec.structs.asdict(content), **given})


def _content(
    command: commands.AskForPaper, details: ClientDetails, settings: PaperSettings, ctx: Context
) -> PaperContent:
    """Raises Rejected 400 for a title that the practice does not have, and for impossible days."""
    _check_title(command, settings)
    today = local_day(ctx.now, details.zone)
    asked_on = command.asked_on or today
    dates.check_not_future("asked_on", asked_on, today)
    dates.check_within_lifetime("asked_on", asked_on, details.birth_date)
    needed_by = command.needed_by or asked_on + timedelta(days=settings.needed_days)
    dates.check_order("needed_by", asked_on, needed_by)
    dates.check_order("expires_on", asked_on, command.expires_on)
    return PaperContent(
        kind=command.kind,
        title=command.title,
        asked_of=command.asked_of,
        asked_for=command.asked_for,
        asked_on=asked_on,
        needed_by=needed_by,
        expires_on=command.expires_on,
    )


def _check_title(command: commands.AskForPaper, settings: PaperSettings) -> None:
    if command.kind is not PaperKind.OTHER:
        if command.title:
            raise invalid("title", "Only a paper of kind other has a title.")
        return
    if command.title not in settings.other_papers:
        known = ", ".join(settings.other_papers)
        raise invalid("title", f"Give one of the practice's other papers: {known}.")


def _paper(state: PapersState, paper_id: UUID) -> Paper:
    return existing(state.papers.get(paper_id), "paper")


def _waiting(state: PapersState, paper_id: UUID) -> Paper:
    """Raises Rejected 404, and 409 for one that was answered or withdrawn."""
    paper = _paper(state, paper_id)
    if paper.status is not PaperStatus.WAITING:
        text = f"The paper is {paper.status.value}: if that is in error, take that step back."
        raise Rejected(f"paper_{paper.status.value}", text)
    return paper


def _sent(paper_id: UUID, day: date, command: commands.SendPaper, ctx: Context) -> events.PaperSent:
    return events.PaperSent(
        paper_id=paper_id,
        step_id=ctx.new_id(),
        sent_on=day,
        channel=command.channel,
        words=command.words,
    )


def _step_day(paper: Paper, field: str, day: date | None, ctx: Context) -> date:
    return _day_since(paper.content.asked_on, paper.zone, field, day, ctx)


def _day_since(asked_on: date, zone: str, field: str, day: date | None, ctx: Context) -> date:
    """The day of a step, today where none is given. Raises Rejected 400 for one that cannot be."""
    today = local_day(ctx.now, zone)
    dates.check_not_future(field, day, today)
    dates.check_order(field, asked_on, day)
    return day or today
