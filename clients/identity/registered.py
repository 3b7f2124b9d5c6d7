"""Deciding on the record of a client who is registered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar
from uuid import UUID

from clients.identity.domain.events import ClientDetails
from clients.identity.domain.state import IDENTITY
from practice.core.decisions import Context, Decided, Slice, States
from practice.core.reasons import Rejected
from practice.work.unit_of_work import Outcome, UnitOfWork

S = TypeVar("S")


def execute(
    uow: UnitOfWork,
    client_id: UUID,
    part: Slice[Any, S],
    decide: Callable[[S, ClientDetails, Context], Decided],
    *,
    if_match: int | None = None,
) -> Outcome:
    """Decide from one slice and the client's details. Raises Rejected 409 without details."""

    def with_details(states: States, ctx: Context) -> Decided:
        details = states[IDENTITY].details
        if details is None:
            raise Rejected("not_registered", "This client was never registered.")
        return decide(states[part], details, ctx)

    return uow.execute(client_id, (IDENTITY, part), with_details, if_match=if_match)
