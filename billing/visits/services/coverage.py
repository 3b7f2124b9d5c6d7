"""Covering visits for which room appeared, and giving back what a visit used."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Visit
from billing.authorizations.services import check_fresh
from billing.payers.selectors import payer_rules
from billing.visits.domain.coverage import (
    CoverableVisits,
    CoverSelection,
    cover_visits,
    give_visit_back,
)
from billing.visits.selectors.coverage import Coverage, clients_to_cover, find_coverage
from billing.visits.selectors.visits import visit_get
from practice.core.reasons import Rejected
from practice.work.unit_of_work import Outcome, UnitOfWork


def visits_cover(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Coverage:
    """Cover the visits of a ``selection`` as they were shown, with the ``reason``.

    Raises Rejected 409 where none would be covered, or otherwise than shown (``version``). All
    clients' visits change in one transaction, or none.
    """
    selection: CoverSelection = command["selection"]
    client_ids = clients_to_cover(selection)
    uow.lock(*client_ids)
    found = find_coverage(
        selection, client_ids, lambda one: uow.states(one, (AUTHORIZATION_BALANCE,))
    )
    if not found.by_client:
        raise Rejected("nothing_to_cover", "None of these visits would be covered now.")
    if found.version != command["version"]:
        raise Rejected(
            "changes_moved_on",
            "The changes are no longer those that were shown. Read them again.",
            extra={"version": found.version},
        )
    for client_id, covered in found.by_client.items():
        _cover(uow, client_id, covered, command["reason"])
    return found


def visit_give_back(
    uow: UnitOfWork, *, visit_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Give back what a visit used of its authorization, with the ``reason``."""
    client_id = visit_get(visit_id).client_id
    balance = uow.states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    check_fresh(Visit, visit_id, if_match)
    payers = payer_rules({one.payer_id for one in balance.authorizations.values()})
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: give_visit_back(
            states[AUTHORIZATION_BALANCE], visit_id, payers, command["reason"]
        ),
    )
    outcome.entity_id = visit_id
    return outcome


def _cover(uow: UnitOfWork, client_id: UUID, covered: CoverableVisits, reason: str) -> None:
    uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda _states, _ctx: cover_visits(covered.visits, reason),
    )
