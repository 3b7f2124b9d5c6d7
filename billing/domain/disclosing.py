"""What left the practice, as state: it survives the erasure of the record. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from billing.domain.events import RecordDisclosed
from practice.domain.decisions import Slice
from practice.domain.events import Recorded

VISIT_SUMMARY = "authorized_visit_summary"
"""What is disclosed: the summary of an authorization's visits, without narrative."""


@dataclass(frozen=True, slots=True)
class Disclosure:
    """One disclosure: when it was made, by whom, and all of its event."""

    at: datetime
    by: UUID
    event: RecordDisclosed


Disclosures = tuple[Disclosure, ...]


def _evolve(builder: list[Disclosure], rec: Recorded) -> None:
    if isinstance(rec.data, RecordDisclosed):
        builder.append(Disclosure(rec.effective_at, rec.actor, rec.data))


DISCLOSURES: Slice[list[Disclosure], Disclosures] = Slice(
    name="disclosures", folds=(RecordDisclosed,), initial=list, evolve=_evolve, freeze=tuple
)


def disclose_summary(
    authorization_id: UUID,
    payer_id: UUID,
    period: tuple[date, date],
    recipient: str,
    purpose: str,
    disclosure_id: UUID,
) -> RecordDisclosed:
    """The event of one export of an authorized visit summary."""
    return RecordDisclosed(
        disclosure_id=disclosure_id,
        what=VISIT_SUMMARY,
        recipient=recipient,
        purpose=purpose,
        starts_on=period[0],
        ends_on=period[1],
        authorization_id=authorization_id,
        payer_id=payer_id,
    )
