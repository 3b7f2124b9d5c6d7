"""A person's choices for a visit."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from billing.domain.choosing import assign_minutes, choose_authorization, choose_units
from billing.domain.cover import COVER
from billing.domain.payers import Payers
from billing.models.drawn import Visit
from billing.selectors.payers import payer_rules
from billing.services.authorizations import check_fresh
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
    payers = _payers_of(work, client_id)
    check_fresh(Visit, visit_id, if_match)
    return work.execute(
        client_id,
        (COVER,),
        lambda states, _: choose_units(states[COVER], visit_id, units, payers, reason),
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
    payers = _payers_of(work, client_id)
    check_fresh(Visit, visit_id, if_match)
    return work.execute(
        client_id,
        (COVER,),
        lambda states, _: choose_authorization(
            states[COVER], visit_id, authorization_id, payers, reason
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
    payers = _payers_of(work, client_id)
    check_fresh(Visit, visit_id, if_match)
    return work.execute(
        client_id,
        (COVER,),
        lambda states, _: assign_minutes(states[COVER], visit_id, session_id, payers, reason),
    )


def _payers_of(work: Work, client_id: UUID) -> Payers:
    cover = work.states(client_id, (COVER,))[COVER]
    return payer_rules({one.payer_id for one in cover.authorizations.values()})
