"""Recording, amending and ending a client's authorizations."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from billing.domain.authorizing import (
    amend_authorization,
    end_authorization,
    record_authorization,
)
from billing.domain.cover import COVER
from billing.domain.events import Terms
from billing.models.drawn import Authorization, Visit
from billing.models.payers import Payer
from billing.selectors.payers import known_codes
from practice.domain.reasons import check_version, invalid
from practice.eventlog.runner import Outcome, Work


def authorization_record(work: Work, *, client_id: UUID, payer_id: UUID, terms: Terms) -> Outcome:
    """Enter a payer's authorization for a client."""
    work.lock(client_id)
    if not Payer.objects.filter(pk=payer_id, is_active=True).exists():
        raise invalid("payer_id", "There is no such payer in use.")
    known = known_codes()
    return work.execute(
        client_id,
        (COVER,),
        lambda states, ctx: record_authorization(states[COVER], payer_id, terms, known, ctx),
    )


def authorization_amend(
    work: Work,
    *,
    client_id: UUID,
    authorization_id: UUID,
    changes: Mapping[str, Any],
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """Extend, reduce or correct an authorization; draws that stand, stand."""
    work.lock(client_id)
    check_fresh(Authorization, authorization_id, if_match)
    known = known_codes()
    return work.execute(
        client_id,
        (COVER,),
        lambda states, _: amend_authorization(
            states[COVER], authorization_id, changes, reason, known
        ),
    )


def authorization_end(
    work: Work,
    *,
    client_id: UUID,
    authorization_id: UUID,
    ends_on: date,
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """End an authorization early."""
    work.lock(client_id)
    check_fresh(Authorization, authorization_id, if_match)
    return work.execute(
        client_id,
        (COVER,),
        lambda states, _: end_authorization(states[COVER], authorization_id, ends_on, reason),
    )


def check_fresh(table: type[Authorization | Visit], key: UUID, if_match: int | None) -> None:
    """Rejected 412 where the row has moved on since the caller read it; called under the lock.

    The version of the row, not of the whole record: a session booked meanwhile is no
    reason to read an authorization again.
    """
    now = table.objects.filter(pk=key).values_list("version", flat=True).first()
    if now is not None:
        check_version(now, if_match)
