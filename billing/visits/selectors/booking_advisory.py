"""What is read of the payer when a session is booked."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from billing.authorizations.domain.eligibility import PayerFacts
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.selectors.eligibility import payer_facts
from billing.self_pay.domain.state import SELF_PAY
from billing.visits.domain.booking_advisory import advise_on_payer, unpaid_by_payer
from practice.core.decisions import Advisory, States
from sessions.booking.domain.commands import BOOKING, UNPAID


def _facts(_client_id: UUID, states: States) -> PayerFacts:
    held = states[AUTHORIZATION_BALANCE].authorizations.values()
    return payer_facts({one.payer_id for one in held})


ADVISE_ON_PAYER = Advisory(
    question=BOOKING,
    slices=(AUTHORIZATION_BALANCE, SELF_PAY),
    advise=advise_on_payer,
    lookup=_facts,
)
UNPAID_BY_PAYER = replace(ADVISE_ON_PAYER, question=UNPAID, advise=unpaid_by_payer)
