"""The decision that something of the record leaves the practice. Pure."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.summaries.domain.events import RecordDisclosed

VISIT_SUMMARY = "authorized_visit_summary"
"""What is disclosed: the summary of an authorization's visits, without narrative."""


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
