"""The decision that something of the record leaves the practice. Pure."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.domain.state import AuthorizationBalance
from billing.summaries.domain.events import RecordDisclosed
from practice.core.reasons import Rejected

VISIT_SUMMARY = "authorized_visit_summary"
"""What is disclosed: the summary of an authorization's visits, without narrative."""


def check_visits(
    balance: AuthorizationBalance, authorization_id: UUID, first: date, last: date, *, wanted: bool
) -> None:
    """Rejected 409 where an export would hold no visit, unless a statement of none is ``wanted``.

    Nothing leaves the practice then, and nothing is logged as a disclosure.
    """
    if not wanted and not any(
        visit.last.authorization_id == authorization_id and first <= visit.last.local_date <= last
        for visit in balance.visits.values()
    ):
        raise Rejected(
            "no_visits",
            f"No visit of this authorization lies from {first} to {last}. Choose other days, or "
            "ask for a statement of no visits (`no_visits`).",
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
