"""Recording, amending and ending a client's authorizations."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from billing.authorizations.domain.decisions import (
    amend_authorization,
    end_authorization,
    record_authorization,
)
from billing.authorizations.domain.events import AuthorizationTerms
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Authorization, Visit
from billing.payers.models import Payer
from billing.payers.selectors import known_codes
from practice.core.reasons import check_version, invalid
from practice.work.unit_of_work import Outcome, UnitOfWork


def authorization_record(
    uow: UnitOfWork, *, client_id: UUID, payer_id: UUID, terms: AuthorizationTerms
) -> Outcome:
    """Enter a payer's authorization for a client."""
    uow.lock(client_id)
    if not Payer.objects.filter(pk=payer_id, is_active=True).exists():
        raise invalid("payer_id", "There is no such payer in use.")
    known = known_codes()
    return uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, ctx: record_authorization(
            states[AUTHORIZATION_BALANCE], payer_id, terms, known, ctx
        ),
    )


def authorization_amend(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    authorization_id: UUID,
    changes: Mapping[str, Any],
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """Extend, reduce or correct an authorization; draws that stand, stand."""
    uow.lock(client_id)
    check_fresh(Authorization, authorization_id, if_match)
    known = known_codes()
    return uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: amend_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, changes, reason, known
        ),
    )


def authorization_end(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    authorization_id: UUID,
    ends_on: date,
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """End an authorization early."""
    uow.lock(client_id)
    check_fresh(Authorization, authorization_id, if_match)
    return uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: end_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, ends_on, reason
        ),
    )


def check_fresh(table: type[Authorization | Visit], key: UUID, if_match: int | None) -> None:
    """Rejected 412 where the row has moved on since the caller read it; called under the lock.

    The version of the row, not of the whole record: a session booked meanwhile is no
    reason to read an authorization again.
    """
    now = table.objects.filter(pk=key).values_list("version", flat=True).first()
    if now is not None:
        check_version(now, if_match)
