"""What is said of authorizations when a session is booked."""

from __future__ import annotations

from billing.authorizations.domain.advisories import AdvisoryFacts, advise_booking
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.selectors.authorizations import billing_settings
from billing.payers.selectors import has_payers
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Advisory
from sessions.booking.domain.commands import BOOKING
from sessions.calendar.domain.state import CALENDAR

ADVISE_ON_BOOKING = Advisory(
    question=BOOKING,
    slices=(AUTHORIZATION_BALANCE, SELF_PAY, CALENDAR),
    advise=advise_booking,
    lookup=lambda _client_id, _states: AdvisoryFacts(billing_settings(), has_payers()),
)
