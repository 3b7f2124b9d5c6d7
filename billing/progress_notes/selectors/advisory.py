"""What is read of payers for a booking's warning of progress notes."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.progress_notes.domain.advisory import advise_of_progress_note
from billing.progress_notes.domain.state import PROGRESS_NOTES
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Advisory, States
from sessions.booking.domain.commands import BOOKING
from sessions.calendar.domain.state import CALENDAR


def _payers(_client_id: UUID, states: States) -> PayerRulesById:
    held = states[AUTHORIZATION_BALANCE].authorizations.values()
    return payer_rules({one.payer_id for one in held})


ADVISE_OF_PROGRESS_NOTE = Advisory(
    question=BOOKING,
    slices=(AUTHORIZATION_BALANCE, PROGRESS_NOTES, SELF_PAY, CALENDAR),
    advise=advise_of_progress_note,
    lookup=_payers,
)
