"""Papers on the client's record: asked for, sent, reminded of, answered, withdrawn, put right."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from clients.identity.domain.state import IDENTITY
from clients.identity.registered import execute
from clients.orders.domain.state import ORDERS
from clients.papers.domain import commands
from clients.papers.domain import decisions as deciding
from clients.papers.domain.events import PaperAsked
from clients.papers.domain.state import PAPERS
from clients.papers.selectors import paper_settings
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import Rejected
from practice.work.unit_of_work import Outcome, UnitOfWork


def paper_ask(uow: UnitOfWork, *, client_id: UUID, command: commands.AskForPaper) -> Outcome:
    """A paper asked of somebody; ``entity_id`` of the outcome is the paper."""
    uow.lock(client_id)
    settings = paper_settings()
    done = execute(
        uow,
        client_id,
        PAPERS,
        lambda _papers, details, ctx: deciding.ask_for_paper(command, details, settings, ctx),
    )
    done.entity_id = done.first(PaperAsked).paper_id
    return done


def paper_send(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.SendPaper
) -> Outcome:
    """The request went out."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, ctx: deciding.send_paper(states[PAPERS], paper_id, command, ctx),
    )


def paper_remind(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.SendPaper
) -> Outcome:
    """Whoever was asked was reminded."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, ctx: deciding.remind_of_paper(states[PAPERS], paper_id, command, ctx),
    )


def paper_answer(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.AnswerPaper
) -> Outcome:
    """The answer came."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, ctx: deciding.answer_paper(
            states[PAPERS],
            states[ORDERS].orders,
            states[IDENTITY].details,
            paper_id,
            command,
            ctx,
        ),
    )


def paper_link_order(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.LinkOrder
) -> Outcome:
    """The order that was recorded from the answer."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, ctx: deciding.link_order(
            states[PAPERS], states[ORDERS].orders, paper_id, command, ctx
        ),
    )


def paper_withdraw(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.EndPaper
) -> Outcome:
    """The paper is not waited for any more."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, ctx: deciding.withdraw_paper(states[PAPERS], paper_id, command, ctx),
    )


def paper_step_take_back(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.TakeStepBack
) -> Outcome:
    """Something recorded of a paper did not happen so."""
    return _of_paper(
        uow,
        client_id,
        paper_id,
        lambda states, _ctx: deciding.take_step_back(states[PAPERS], paper_id, command),
    )


def paper_correct(
    uow: UnitOfWork, *, client_id: UUID, paper_id: UUID, command: commands.CorrectPaper
) -> Outcome:
    """What was asked of whom is put right."""
    uow.lock(client_id)
    settings = paper_settings()
    done = execute(
        uow,
        client_id,
        PAPERS,
        lambda papers, details, ctx: deciding.correct_paper(
            papers, paper_id, command, details, settings, ctx
        ),
    )
    done.entity_id = paper_id
    return done


def _of_paper(
    uow: UnitOfWork, client_id: UUID, paper_id: UUID, decide: Callable[[Any, Context], Decided]
) -> Outcome:
    def of_registered(states: States, ctx: Context) -> Decided:
        if states[IDENTITY].details is None:
            raise Rejected("not_registered", "This client was never registered.")
        return decide(states, ctx)

    done = uow.execute(client_id, (IDENTITY, PAPERS, ORDERS), of_registered)
    done.entity_id = paper_id
    return done
