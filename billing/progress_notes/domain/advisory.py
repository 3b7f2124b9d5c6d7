"""What a booking is told of progress notes for payers: a warning, never a refusal. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.domain.terms import DISCIPLINE_OF
from billing.payers.domain.rules import PayerRulesById
from billing.progress_notes.domain.due import due_at_visit, held_in, visit_warning
from billing.progress_notes.domain.state import PROGRESS_NOTES
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Context, States
from practice.core.localtime import local_day
from practice.core.reasons import Reason
from sessions.booking.domain.commands import BookingQuestion
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.domain.state import CALENDAR


def advise_of_progress_note(
    facts: BookingQuestion, states: States, payers: PayerRulesById, ctx: Context
) -> Sequence[Reason]:
    """Warn where the session would be the treatment day by which a note is due, or comes near it
    or after it; never where the client pays. Sessions booked before it count as treatment days."""
    day, discipline = facts.slot.local_start.date(), DISCIPLINE_OF[facts.slot.credential]
    asking = {
        key: rules
        for key, one in payers.items()
        if (rules := one.on(day)).progress_note_rule is not None
    }
    if not asking or states[SELF_PAY].on(day):
        return []
    balance = states[AUTHORIZATION_BALANCE]
    booked = [
        one.local_date
        for one in states[CALENDAR].sessions.values()
        if one.status in TIME_HOLDING_STATUSES
        and one.id != facts.session_id
        and DISCIPLINE_OF[one.credential] is discipline
    ]
    notes = states[PROGRESS_NOTES].of(discipline, balance)
    found = due_at_visit(discipline, day, notes, booked, held_in(balance), asking)
    reason = visit_warning(found, local_day(ctx.now, facts.slot.zone)) if found else None
    return [reason] if reason else []
