"""Everything of billing that survives the erasure of a record, disclosures with it: date,
recipient, purpose. Pure."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.retention import APP, kept_of_cover
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.summaries.domain.state import DISCLOSURES, DisclosureState
from practice.core.decisions import RetainedFacts, States


class RetainedDisclosure(msgspec.Struct, frozen=True, kw_only=True, tag="disclosure"):
    """A disclosure: date, recipient, purpose, what, period, payer, digests of what was sent."""

    id: UUID
    disclosed_at: datetime
    disclosed_by: UUID
    what: str
    recipient: str
    purpose: str
    starts_on: date | None
    ends_on: date | None
    authorization_id: UUID | None
    payer_id: UUID | None
    sha256: dict[str, str] = msgspec.field(default_factory=dict)


def _keep(states: States) -> list[dict[str, Any]]:
    disclosures = [_disclosure(one) for one in states[DISCLOSURES]]
    plain: list[dict[str, Any]] = msgspec.to_builtins(
        [*kept_of_cover(states[AUTHORIZATION_BALANCE]), *disclosures]
    )
    return plain


def _disclosure(one: DisclosureState) -> RetainedDisclosure:
    made = one.event
    return RetainedDisclosure(
        id=made.disclosure_id,
        disclosed_at=one.occurred_at,
        disclosed_by=one.by,
        what=made.what,
        recipient=made.recipient,
        purpose=made.purpose,
        starts_on=made.starts_on,
        ends_on=made.ends_on,
        authorization_id=made.authorization_id,
        payer_id=made.payer_id,
        sha256=made.sha256,
    )


RETAINED_FACTS = RetainedFacts(app=APP, slices=(AUTHORIZATION_BALANCE, DISCLOSURES), retain=_keep)
