"""What is said of authorizations when a session is booked."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from billing.authorizations.domain.advisories import AdvisoryFacts, advise_booking
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.domain.threshold_advisory import ThresholdFacts, advise_of_thresholds
from billing.authorizations.domain.unpaid import unpaid_by_authorizations
from billing.authorizations.selectors.authorizations import billing_settings
from billing.authorizations.selectors.eligibility import payer_facts
from billing.payers.selectors import has_payers, payer_rules
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Advisory, States
from sessions.booking.domain.commands import BOOKING, UNPAID
from sessions.calendar.domain.state import CALENDAR


def _threshold_facts(_client_id: UUID, states: States) -> ThresholdFacts:
    held = states[AUTHORIZATION_BALANCE].authorizations.values()
    return ThresholdFacts(
        payer_rules({one.payer_id for one in held}), billing_settings().threshold_warning_percent
    )


ADVISE_OF_THRESHOLDS = Advisory(
    question=BOOKING,
    slices=(AUTHORIZATION_BALANCE,),
    advise=advise_of_thresholds,
    lookup=_threshold_facts,
)


def _booking_facts(_client_id: UUID, states: States) -> AdvisoryFacts:
    held = states[AUTHORIZATION_BALANCE].authorizations.values()
    payer = payer_facts({one.payer_id for one in held})
    return AdvisoryFacts(billing_settings(), has_payers(), payer)


ADVISE_ON_BOOKING = Advisory(
    question=BOOKING,
    slices=(AUTHORIZATION_BALANCE, SELF_PAY, CALENDAR),
    advise=advise_booking,
    lookup=_booking_facts,
)
UNPAID_BY_AUTHORIZATIONS = replace(
    ADVISE_ON_BOOKING, question=UNPAID, advise=unpaid_by_authorizations
)
