"""Exports: each is a disclosure first; its content is then read by reference."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.selectors.authorizations import authorization_get
from billing.summaries.domain.decisions import check_visits, disclose_summary
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import invalid
from practice.work.unit_of_work import Outcome, UnitOfWork


def visit_summary_disclose(
    uow: UnitOfWork, *, authorization_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Log that an authorization's visit summary leaves the practice: ``recipient``, ``purpose``,
    the period (both days included, by default the authorization's own).

    Rejected 409 where the period holds no visit, unless ``no_visits`` asks to state that.
    """
    client_id = authorization_get(uow.actor, authorization_id).client_id
    starts_on: date | None = command.get("starts_on")
    ends_on: date | None = command.get("ends_on")

    def decide(states: States, ctx: Context) -> Decided:
        authorization = states[AUTHORIZATION_BALANCE].authorization(authorization_id)
        first = starts_on or authorization.terms.starts_on
        last = ends_on or max(authorization.terms.ends_on, first)
        if last < first:
            raise invalid("ends_on", "The last day cannot come before the first.")
        check_visits(
            states[AUTHORIZATION_BALANCE],
            authorization_id,
            first,
            last,
            wanted=bool(command.get("no_visits")),
        )
        return [
            disclose_summary(
                authorization_id,
                authorization.payer_id,
                (first, last),
                command["recipient"],
                command["purpose"],
                ctx.new_id(),
            )
        ]

    return uow.execute(client_id, (AUTHORIZATION_BALANCE,), decide)
