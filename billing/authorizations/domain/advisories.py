"""What billing says to a booking: warnings, never a refusal. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

import msgspec

from billing.authorizations.domain.day_warnings import SOURCE, count_of
from billing.authorizations.domain.eligibility import NOTHING_KNOWN, PayerFacts
from billing.authorizations.domain.state import (
    AUTHORIZATION_BALANCE,
    AuthorizationBalance,
    AuthorizationState,
    UsedAmounts,
)
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Context, States
from practice.core.reasons import Reason
from sessions.booking.domain.commands import BookingQuestion
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, CalendarState
from sessions.calendar.domain.state import CALENDAR


class BillingSettings(msgspec.Struct, frozen=True, kw_only=True):
    """The practice's settings of billing (group ``billing``)."""

    running_out_visits: int
    running_out_units: int
    running_out_minutes: int
    expiring_days: int
    recalculated_visits: int
    threshold_warning_percent: int


def advise_booking(
    facts: BookingQuestion, states: States, known: AdvisoryFacts, ctx: Context
) -> Sequence[Reason]:
    """Warn when no authorization covers the day, or the one that it draws on runs out or ends
    soon.

    No warning where the client pays for themself on that day, nor of no authorization in a
    practice that has no payer: everyone pays there. A session that draws on none that covers its
    day, since the payer pays nothing of it, takes nothing of any; nor do others like it count.
    """
    authorization_balance, day = states[AUTHORIZATION_BALANCE], facts.slot.local_start.date()
    if states[SELF_PAY].on(day):
        return []
    if not authorization_balance.authorizations:
        return [_none(day)] if known.has_payers else []
    covering = [one for one in authorization_balance.authorizations.values() if one.covers_day(day)]
    if not covering:
        return [_outside(authorization_balance, day)]
    drawn = [one for one in covering if known.payer.draws(one.payer_id, one.terms, facts.slot, day)]
    if not drawn:
        return []
    authorization = _first_with_room(authorization_balance, drawn)
    booked = _booked_days(states[CALENDAR], authorization, facts.session_id, known.payer)
    booked |= {day.isoformat()}
    found = [
        _visits_left(authorization_balance, authorization, booked, known.settings),
        _units_left(authorization_balance, authorization),
        _expiring(authorization, day, known.settings),
    ]
    return [one for one in found if one is not None]


@dataclass(frozen=True, slots=True)
class AdvisoryFacts:
    """What was read for a booking; ``has_payers``: whether the practice has any payer in use;
    ``payer``: what the client's own pay for."""

    settings: BillingSettings
    has_payers: bool
    payer: PayerFacts = NOTHING_KNOWN


@dataclass(frozen=True, slots=True)
class RemainingBalance:
    """What is left of an authorization; None = not limited."""

    number: str
    starts_on: date
    last_day: date
    visits: int | None
    units: int | None
    minutes: int | None


def running_out_reasons(
    rest: RemainingBalance, day: date, settings: BillingSettings
) -> list[Reason]:
    """Why an authorization that is open on a day runs out: visits, units, minutes or days."""
    if not rest.starts_on <= day <= rest.last_day:
        return []
    found = [
        _few("visits", rest.visits, settings.running_out_visits),
        _few("units", rest.units, settings.running_out_units),
        _few("minutes", rest.minutes, settings.running_out_minutes),
    ]
    days = (rest.last_day - day).days
    if days <= settings.expiring_days:
        text = f"It ends on {rest.last_day}, {count_of(days, 'day')} from today."
        found.append(Reason(code="days", text=text, source=SOURCE))
    return [one for one in found if one is not None]


def _few(what: str, left: int | None, lead: int) -> Reason | None:
    if left is None or left > lead:
        return None
    are = "is" if left == 1 else "are"
    text = f"{count_of(left, what[:-1])} {are} left; the practice looks at it from {lead} on."
    return Reason(code=what, text=text, source=SOURCE)


def _first_with_room(
    authorization_balance: AuthorizationBalance, covering: Sequence[AuthorizationState]
) -> AuthorizationState:
    """The one that the visit would use: the first by rank with a visit left."""
    ranked = sorted(covering, key=lambda one: one.rank)
    for one in ranked:
        if (
            one.terms.visits is None
            or authorization_balance.used.get(one.id, UsedAmounts()).visits < one.terms.visits
        ):
            return one
    return ranked[0]


def _booked_days(
    calendar: CalendarState,
    authorization: AuthorizationState,
    moved: UUID | None,
    payer: PayerFacts,
) -> set[str]:
    """Days within its period on which the client has sessions that draw on it, but for the one
    being moved."""
    return {
        one.local_date.isoformat()
        for one in calendar.sessions.values()
        if one.status in TIME_HOLDING_STATUSES
        and one.id != moved
        and authorization.covers_day(one.local_date)
        and payer.draws(authorization.payer_id, authorization.terms, one, one.local_date)
    }


def _visits_left(
    authorization_balance: AuthorizationBalance,
    authorization: AuthorizationState,
    booked: set[str],
    settings: BillingSettings,
) -> Reason | None:
    if authorization.terms.visits is None:
        return None
    days = len(booked - authorization_balance.counted(authorization.id))
    used = authorization_balance.used.get(authorization.id, UsedAmounts()).visits
    left = authorization.terms.visits - used - days
    if left > settings.running_out_visits:
        return None
    if left < 0:
        return Reason(
            code="authorization_used_up",
            text=(
                f"Authorization {authorization.terms.number} has "
                f"{count_of(max(0, authorization.terms.visits - used), 'visit')} left for "
                f"{count_of(days, 'booked day')}, "
                "this one included."
            ),
            source=SOURCE,
        )
    return Reason(
        code="authorization_running_out",
        text=(
            f"After {count_of(days, 'booked day')}, this one included, authorization "
            f"{authorization.terms.number} has {left} of "
            f"{count_of(authorization.terms.visits, 'visit')} left."
        ),
        source=SOURCE,
    )


def _units_left(
    authorization_balance: AuthorizationBalance, authorization: AuthorizationState
) -> Reason | None:
    used = authorization_balance.used.get(authorization.id, UsedAmounts())
    if authorization.terms.units is None or used.units + used.reserved < authorization.terms.units:
        return None
    return Reason(
        code="authorization_no_units_left",
        text=f"Authorization {authorization.terms.number} has no units left.",
        source=SOURCE,
    )


def _expiring(
    authorization: AuthorizationState, day: date, settings: BillingSettings
) -> Reason | None:
    if authorization.last_day - day > timedelta(days=settings.expiring_days):
        return None
    return Reason(
        code="authorization_expiring",
        text=f"Authorization {authorization.terms.number} ends on {authorization.last_day}.",
        source=SOURCE,
    )


def _none(day: date) -> Reason:
    return Reason(
        code="no_authorization",
        text=(
            f"No authorization of this client is on record, so nobody pays for {day}. Record one, "
            "or state that the client pays for themself."
        ),
        source=SOURCE,
    )


def _outside(authorization_balance: AuthorizationBalance, day: date) -> Reason:
    periods = "; ".join(
        f"{one.terms.number}: {one.terms.starts_on} to {one.last_day}"
        for one in sorted(authorization_balance.authorizations.values(), key=lambda one: one.rank)
    )
    return Reason(
        code="authorization_outside_period",
        text=f"No authorization covers {day} ({periods}).",
        source=SOURCE,
    )
