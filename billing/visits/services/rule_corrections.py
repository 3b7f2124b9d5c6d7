"""Calculating visits again after a payer's rules were corrected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.visits.domain.rule_corrections import (
    CorrectedPeriod,
    CorrectedVisit,
    correct_visits,
)
from billing.visits.selectors.rule_corrections import (
    Corrections,
    clients_of_period,
    find_corrections,
)
from practice.core.reasons import Rejected
from practice.work.unit_of_work import UnitOfWork


def visits_correct(uow: UnitOfWork, *, payer_id: UUID, command: Mapping[str, Any]) -> Corrections:
    """Calculate again all visits of a period that a payer's rules concern, as they were shown.

    Raises Rejected 409 where nothing would change, or where it would change otherwise than
    shown (``version``). All clients' visits change in one transaction, or none.
    """
    period = CorrectedPeriod(payer_id, command.get("from"), command.get("to"))
    client_ids = clients_of_period(period)
    uow.lock(*client_ids)
    found = find_corrections(
        period, client_ids, lambda one: uow.states(one, (AUTHORIZATION_BALANCE,))
    )
    if not found.by_client:
        raise Rejected("nothing_to_recalculate", "The rules change no visit of these days.")
    if found.version != command["version"]:
        raise Rejected(
            "changes_moved_on",
            "The changes are no longer those that were shown. Read them again.",
            extra={"version": found.version},
        )
    for client_id, corrected in found.by_client.items():
        _correct(uow, client_id, corrected, command["reason"])
    return found


def _correct(
    uow: UnitOfWork, client_id: UUID, corrected: Sequence[CorrectedVisit], reason: str
) -> None:
    uow.execute(
        client_id, (AUTHORIZATION_BALANCE,), lambda _states, _ctx: correct_visits(corrected, reason)
    )
