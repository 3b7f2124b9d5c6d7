"""Sessions that no authorization pays, by the warnings of their booking. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from billing.authorizations.domain.advisories import AdvisoryFacts, advise_booking
from practice.core.decisions import Context, States
from practice.core.reasons import Reason
from sessions.booking.domain.commands import BookingQuestion

UNPAID_CODES = frozenset(
    {
        "no_authorization",
        "authorization_outside_period",
        "authorization_used_up",
        "authorization_no_units_left",
    }
)


def unpaid_by_authorizations(
    facts: BookingQuestion, states: States, known: AdvisoryFacts, ctx: Context
) -> Sequence[Reason]:
    """Those of a booking's warnings by which no authorization pays for it."""
    found = advise_booking(facts, states, known, ctx)
    return [reason for reason in found if reason.code in UNPAID_CODES]
