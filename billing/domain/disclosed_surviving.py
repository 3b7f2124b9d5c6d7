"""Everything of billing that survives the erasure of a record, disclosures with it: date,
recipient, purpose. Pure."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from billing.domain.cover import COVER
from billing.domain.disclosing import DISCLOSURES, Disclosure
from billing.domain.surviving import APP, kept_of_cover
from practice.domain.decisions import States, Survivors


class KeptDisclosure(msgspec.Struct, frozen=True, kw_only=True, tag="disclosure"):
    """A disclosure: date, recipient, purpose, what, period, payer."""

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


def _keep(states: States) -> list[dict[str, Any]]:
    disclosures = [_disclosure(one) for one in states[DISCLOSURES]]
    plain: list[dict[str, Any]] = msgspec.to_builtins([*kept_of_cover(states[COVER]), *disclosures])
    return plain


def _disclosure(one: Disclosure) -> KeptDisclosure:
    made = one.event
    return KeptDisclosure(
        id=made.disclosure_id,
        disclosed_at=one.at,
        disclosed_by=one.by,
        what=made.what,
        recipient=made.recipient,
        purpose=made.purpose,
        starts_on=made.starts_on,
        ends_on=made.ends_on,
        authorization_id=made.authorization_id,
        payer_id=made.payer_id,
    )


SURVIVORS = Survivors(app=APP, slices=(COVER, DISCLOSURES), keep=_keep)
