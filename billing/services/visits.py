"""A person's choices for a visit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import UUID

from billing.domain.choosing import assign_minutes, choose_authorization, choose_units
from billing.domain.cover import COVER, Cover
from billing.domain.payers import Payers
from billing.models.drawn import Visit
from billing.selectors.payers import payer_rules
from billing.services.authorizations import check_fresh
from practice.domain.decisions import Decided
from practice.eventlog.runner import Outcome, Work


def visit_choose_units(
    work: Work,
    *,
    client_id: UUID,
    visit_id: UUID,
    units: Mapping[str, int],
    reason: str = "",
    if_match: int | None = None,
) -> Outcome:
    """Say which service code gets the units of a visit that were held back."""
    return _choose(
        work,
        client_id,
        visit_id,
        if_match,
        lambda cover, payers: choose_units(cover, visit_id, units, payers, reason),
    )


def visit_choose_authorization(
    work: Work,
    *,
    client_id: UUID,
    visit_id: UUID,
    authorization_id: UUID,
    reason: str = "",
    if_match: int | None = None,
) -> Outcome:
    """Say which authorization a visit draws from; also covers it after room appeared."""
    return _choose(
        work,
        client_id,
        visit_id,
        if_match,
        lambda cover, payers: choose_authorization(
            cover, visit_id, authorization_id, payers, reason
        ),
    )


def visit_assign_minutes(
    work: Work,
    *,
    client_id: UUID,
    visit_id: UUID,
    session_id: UUID,
    reason: str = "",
    if_match: int | None = None,
) -> Outcome:
    """Say that overlapping minutes of a practitioner are this client's."""
    return _choose(
        work,
        client_id,
        visit_id,
        if_match,
        lambda cover, payers: assign_minutes(cover, visit_id, session_id, payers, reason),
    )


def _choose(
    work: Work,
    client_id: UUID,
    visit_id: UUID,
    if_match: int | None,
    decide: Callable[[Cover, Payers], Decided],
) -> Outcome:
    """A choice by the rules of the client's payers as they stand under the lock."""
    cover = work.states(client_id, (COVER,))[COVER]
    payers = payer_rules({one.payer_id for one in cover.authorizations.values()})
    check_fresh(Visit, visit_id, if_match)
    return work.execute(client_id, (COVER,), lambda states, _: decide(states[COVER], payers))
