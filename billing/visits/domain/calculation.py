"""Calculating a treatment day: which authorization it uses, and how much. Pure.

A day is calculated again with each signature. Its need follows from the minutes alone;
what was used for it earlier stays used as far as the need still asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from uuid import UUID

import msgspec

from billing.authorizations.domain.eligibility import Eligibility
from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.state import AuthorizationBalance, AuthorizationState
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.authorizations.domain.treatment_day import (
    RemainingAmounts,
    TreatmentDay,
    remaining_for,
    usage_changes,
)
from billing.payers.domain.rules import PayerRulesById
from billing.units.domain.units import MIN_TIMED_MINUTES, ExpectedUnits, units_of_total
from billing.visits.domain.allocation import Allocation, allocate_units, with_override
from billing.visits.domain.counting import counted_visits
from billing.visits.domain.expected_amounts import expected_amount_of
from billing.visits.domain.timed_units import (
    EarnedUnits,
    billable_units_of,
    calculate_earned_units,
)
from billing.visits.domain.used_minutes import (
    allocate_minutes,
    expected_after_override,
    unpaid_minutes,
)


def calculate_visit(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
    chosen: UUID | None = None,
) -> VisitCalculated:
    """The day as it stands now, whole, with what changes of the authorizations.

    ``chosen`` is the authorization that a person named; it holds for later signatures.
    Otherwise the first in order of which anything can be used; one visit never spills
    over two. Where nothing can be used it says why. A day that was given back uses nothing.
    """
    if chosen is not None:
        day = day.when_given_back(given_back=False)
    elif day.earlier and day.earlier.last.chosen_by_person and not day.given_back:
        chosen = day.earlier.last.authorization_id
        if chosen in authorization_balance.voided:
            chosen = None
    best: VisitCalculated | None = None
    for authorization in _in_order(day, authorization_balance, chosen):
        result = _attempt(day, authorization_balance, authorization, payers)
        if result.used_units or result.undecided:
            best = result
            break
        if best is None or (result.expected_units and not best.expected_units):
            best = result
    if best is None:
        best = _base(day, day.why_without_authorization)
    best = msgspec.structs.replace(
        best,
        chosen_by_person=chosen is not None,
        given_back=day.given_back and bool(day.sessions),
        fully_covered_by=_fully_covered_by(day, authorization_balance, best, payers),
    )
    return msgspec.structs.replace(
        best, usage_changes=usage_changes(day, authorization_balance, best)
    )


def _fully_covered_by(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    found: VisitCalculated,
    payers: PayerRulesById,
) -> tuple[UUID, ...]:
    """Where an authorization covers only some of a visit: the others that would cover it all.

    The order in which authorizations are used stands; a person may name one of these.
    """
    if found.covered is not CoverageStatus.PARTLY:
        return ()
    others = sorted(authorization_balance.authorizations.values(), key=lambda one: one.rank)
    return tuple(
        one.id
        for one in others
        if one.id != found.authorization_id
        and one.covers_day(day.local_date)
        and _attempt(day, authorization_balance, one, payers).covered is CoverageStatus.COVERED
    )


def differs_from_last(day: TreatmentDay, now: VisitCalculated) -> bool:
    """Whether a calculation differs from the one before it."""
    if day.earlier is None:
        return True
    bare = partial(msgspec.structs.replace, usage_changes=(), parted_from=())
    return bare(day.earlier.last) != bare(now)


def _in_order(
    day: TreatmentDay, authorization_balance: AuthorizationBalance, chosen: UUID | None
) -> Sequence[AuthorizationState]:
    """The authorizations to try: the one a person named, else the one that it uses
    already, else all open that day by rank, else the one that ended nearest."""
    ranked = sorted(authorization_balance.authorizations.values(), key=lambda one: one.rank)
    if chosen is not None:
        return [authorization_balance.authorizations[chosen]]
    committed = [one for one in ranked if day.committed(one.id)]
    if committed:
        return committed
    covering = [one for one in ranked if one.covers_day(day.local_date)]
    return covering or sorted(ranked, key=lambda one: one.last_day, reverse=True)[:1]


def _closed(authorization: AuthorizationState, day: TreatmentDay) -> UncoveredReason | None:
    if day.given_back:
        return UncoveredReason.GIVEN_BACK
    if authorization.covers_day(day.local_date):
        return None
    within = authorization.terms.starts_on <= day.local_date <= authorization.terms.ends_on
    return UncoveredReason.AUTHORIZATION_ENDED if within else UncoveredReason.OUTSIDE_PERIOD


def _attempt(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    authorization: AuthorizationState,
    payers: PayerRulesById,
) -> VisitCalculated:
    """The day as covered by one authorization."""
    rules = payers[authorization.payer_id].on(day.local_date)
    committed = day.committed(authorization.id)
    kept = (
        frozenset(
            {
                *committed.used_units,
                *(committed.undecided.max_by_code if committed.undecided else ()),
            }
        )
        if committed
        else None
    )
    eligible = Eligibility(rules, authorization.terms, kept or frozenset())
    earned = calculate_earned_units(day.sessions, eligible)
    left = remaining_for(day, authorization_balance, authorization)
    counts = counted_visits(day, authorization_balance, authorization, earned, left.visits)
    closed = _closed(authorization, day)
    coverable = calculate_earned_units(
        day.sessions, eligible, counts.among(day, earned), closed or UncoveredReason.NO_VISITS_LEFT
    )
    asked = _allocated(coverable, left)
    override = day.earlier.override if day.earlier else None
    allocation = with_override(asked, override.among, override.units) if override else asked
    uncovered_reasons = _uncovered_reasons(_Outcome(earned, coverable, allocation, left, closed))
    expected_units, expected_units_undecided = expected_after_override(
        earned.expected_units, asked, allocation
    )
    paid = allocate_minutes(coverable, allocation, left.minutes)
    return msgspec.structs.replace(
        _base(day, uncovered_reasons),
        authorization_id=authorization.id,
        payer_id=authorization.payer_id,
        payer_revision=rules.revision,
        unit_rule=rules.unit_rule,
        visit_definition=rules.visit_definition,
        units_chosen=allocation != asked,
        expected_units=expected_units,
        expected_units_undecided=expected_units_undecided,
        timed_minutes=earned.expected_units.timed_minutes,
        used_units=dict(allocation.used_units),
        used_minutes=paid.minutes,
        reserved_minutes=paid.reserved,
        undecided=allocation.undecided,
        counts_as=tuple(sorted(counts.keys)) if allocation.units else (),
        covered=_covered(allocation, uncovered_reasons),
        excluded_minutes=(
            *coverable.excluded_minutes,
            *unpaid_minutes(coverable, allocation, uncovered_reasons),
        ),
        billable_units=billable_units_of(day.sessions, rules),
        expected_amount=expected_amount_of(allocation.used_units, rules),
    )


def _base(day: TreatmentDay, uncovered_reasons: tuple[UncoveredReason, ...]) -> VisitCalculated:
    return VisitCalculated(
        visit_id=day.visit_id,
        local_date=day.local_date,
        discipline=day.discipline,
        sessions=day.sessions,
        uncovered_reasons=uncovered_reasons,
    )


def _allocated(earned: EarnedUnits, left: RemainingAmounts) -> Allocation:
    """What is covered of the day. Minutes limit the timed codes alone: where they are what is
    short, untimed codes are covered beside what the minutes left would earn."""
    expected = earned.expected_units
    by_minutes = _earned_by_minutes(earned, left)
    units = left.units
    if by_minutes is not None and left.committed <= earned.untimed + by_minutes:
        if units is None or earned.untimed + by_minutes <= units:
            once, timed = _once_and_timed(earned)
            covered = allocate_units(timed, by_minutes, left.by_line)
            beside = allocate_units(once, None, left.by_line)
            used = {**covered.used_units, **beside.used_units}
            return Allocation({code: used[code] for code in sorted(used)}, covered.undecided)
    elif by_minutes is not None:
        units = left.committed if units is None else min(units, left.committed)
    return allocate_units(expected, units, left.by_line)


def _earned_by_minutes(earned: EarnedUnits, left: RemainingAmounts) -> int | None:
    """Timed units of the day that the minutes left would earn; None where none are limited."""
    if left.minutes is None:
        return None
    return units_of_total(min(earned.expected_units.timed_minutes, left.minutes))


def _once_and_timed(earned: EarnedUnits) -> tuple[ExpectedUnits, ExpectedUnits]:
    """The day's untimed codes, which count once each, and the rest."""
    expected = earned.expected_units
    once = {one.code for one in earned.counted if not one.timed}
    of = {code: units for code, units in expected.sure.items() if code in once}
    rest = {code: units for code, units in expected.sure.items() if code not in once}
    return ExpectedUnits(of, 0, {}, 0), replace(expected, sure=rest)


@dataclass(frozen=True, slots=True)
class _Outcome:
    earned: EarnedUnits
    coverable: EarnedUnits
    allocation: Allocation
    left: RemainingAmounts
    closed: UncoveredReason | None

    @property
    def complete(self) -> bool:
        return self.allocation.units >= self.earned.expected_units.units


def _uncovered_reasons(out: _Outcome) -> tuple[UncoveredReason, ...]:
    """Every reason why something is not covered, in the order of the list of reasons."""
    found = {one.uncovered_reason for one in out.coverable.excluded_minutes}
    if out.earned.counting:
        found.discard(UncoveredReason.NO_SERVICE_CODE)
    if not out.earned.expected_units.units and (
        out.earned.expected_units.timed_minutes or not found
    ):
        found.add(UncoveredReason.UNDER_EIGHT_MINUTES)
    if out.closed and not out.complete:
        found.add(out.closed)
    elif out.allocation.units < out.coverable.expected_units.units:
        found |= _short_of(out)
    return tuple(
        uncovered_reason for uncovered_reason in UncoveredReason if uncovered_reason in found
    )


def _short_of(out: _Outcome) -> set[UncoveredReason]:
    found = set()
    expected_units, left = out.coverable.expected_units, out.left
    if left.minutes is not None and units_of_total(left.minutes) < units_of_total(
        expected_units.timed_minutes
    ):
        found.add(
            UncoveredReason.NO_MINUTES_LEFT
            if left.minutes < MIN_TIMED_MINUTES
            else UncoveredReason.MINUTES_SHORT
        )
    lines_short = any(
        left.by_line.get(code, units) < units for code, units in expected_units.sure.items()
    )
    if not found or lines_short or (left.units is not None and left.units < expected_units.units):
        found.add(
            UncoveredReason.UNITS_SHORT if out.allocation.units else UncoveredReason.NO_UNITS_LEFT
        )
    return found


def _covered(
    allocation: Allocation, uncovered_reasons: tuple[UncoveredReason, ...]
) -> CoverageStatus:
    if not allocation.units:
        return CoverageStatus.NOT
    return CoverageStatus.PARTLY if uncovered_reasons else CoverageStatus.COVERED
