"""Reckoning a treatment day: which authorization it draws from, and how much. Pure.

A day is reckoned again with each signature. Its need follows from the minutes alone;
what was drawn for it earlier stays drawn as far as the need still asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from billing.domain.balance import Day, Left, entries, left_for
from billing.domain.counting import counting
from billing.domain.cover import Authorized, Cover
from billing.domain.earning import Earned, Eligibility, earn, worth_of
from billing.domain.events import VisitDrawn
from billing.domain.payers import Payers
from billing.domain.paying import pay, settled, unpaid
from billing.domain.sharing import Shares, share, with_choice
from billing.domain.terms import Covered, Gap
from billing.domain.units import LEAST_MINUTES, units_of_total


def reckon(day: Day, cover: Cover, payers: Payers, chosen: UUID | None = None) -> VisitDrawn:
    """The day as it stands now, whole, with what changes of the authorizations.

    ``chosen`` is the authorization that a person named; it holds for later signatures.
    Otherwise the first in order of which anything can be drawn; one visit never spills
    over two. Where nothing can be drawn it says why.
    """
    if chosen is None and day.earlier and day.earlier.last.chosen_by_person:
        chosen = day.earlier.last.authorization_id
    best: VisitDrawn | None = None
    for authorization in _in_order(day, cover, chosen):
        result = _attempt(day, cover, authorization, payers)
        if result.drawn or result.open:
            best = result
            break
        if best is None or (result.need and not best.need):
            best = result
    if best is None:
        best = _base(day, (Gap.NO_AUTHORIZATION,))
    best = msgspec.structs.replace(best, chosen_by_person=chosen is not None)
    return msgspec.structs.replace(best, entries=entries(day, cover, best))


def says_something_new(day: Day, now: VisitDrawn) -> bool:
    """Whether a reckoning differs from the one before it."""
    if day.earlier is None:
        return True
    bare = msgspec.structs.replace
    return bare(day.earlier.last, entries=()) != bare(now, entries=())


def _in_order(day: Day, cover: Cover, chosen: UUID | None) -> Sequence[Authorized]:
    """The authorizations to try: the one a person named, else the one it is drawn from
    already, else all open that day by rank, else the one that ended nearest."""
    ranked = sorted(cover.authorizations.values(), key=lambda one: one.rank)
    if chosen is not None:
        return [cover.authorizations[chosen]]
    held = [one for one in ranked if day.held(one.id)]
    if held:
        return held
    covering = [one for one in ranked if one.covers_day(day.local_date)]
    return covering or sorted(ranked, key=lambda one: one.last_day, reverse=True)[:1]


def _closed(authorization: Authorized, day: date) -> Gap | None:
    if authorization.covers_day(day):
        return None
    within = authorization.terms.starts_on <= day <= authorization.terms.ends_on
    return Gap.AUTHORIZATION_ENDED if within else Gap.OUTSIDE_PERIOD


def _attempt(day: Day, cover: Cover, authorization: Authorized, payers: Payers) -> VisitDrawn:
    """The day as drawn from one authorization."""
    rules, held = payers[authorization.payer_id], day.held(authorization.id)
    kept = frozenset({*held.drawn, *(held.open.at_most if held.open else ())}) if held else None
    eligible = Eligibility(rules, authorization.terms, kept or frozenset())
    earned = earn(day.sessions, eligible)
    left = left_for(day, cover, authorization)
    counts = counting(day, cover, authorization, earned, left.visits)
    closed = _closed(authorization, day.local_date)
    coverable = earn(day.sessions, eligible, counts.sessions, closed or Gap.NO_VISITS_LEFT)
    asked = share(coverable.need, _cap(coverable, left), left.by_line)
    choice = day.earlier.choice if day.earlier else None
    shares = with_choice(asked, choice.among, choice.units) if choice else asked
    gaps = _gaps(_Outcome(earned, coverable, shares, left, closed))
    need, need_open = settled(earned.need, asked, shares)
    paid = pay(coverable, shares, left.minutes)
    return msgspec.structs.replace(
        _base(day, gaps),
        authorization_id=authorization.id,
        payer_id=authorization.payer_id,
        payer_revision=rules.revision,
        rule=rules.rule,
        visit_definition=rules.visit_definition,
        units_chosen=shares != asked,
        need=need,
        need_open=need_open,
        timed_minutes=earned.need.timed_minutes,
        drawn=dict(shares.drawn),
        drawn_minutes=paid.minutes,
        reserved_minutes=paid.reserved,
        open=shares.open,
        counts_as=tuple(sorted(counts.keys)) if shares.units else (),
        covered=_covered(shares, gaps),
        dropped=(*coverable.dropped, *unpaid(coverable, shares, gaps)),
        worth=worth_of(day.sessions, rules),
    )


def _base(day: Day, gaps: tuple[Gap, ...]) -> VisitDrawn:
    return VisitDrawn(
        visit_id=day.visit_id,
        local_date=day.local_date,
        discipline=day.discipline,
        sessions=day.sessions,
        gaps=gaps,
    )


def _cap(earned: Earned, left: Left) -> int | None:
    """Units in all that are left, and no more than the minutes left would earn; what the day
    holds already stays."""
    limits = [left.units]
    if left.minutes is not None:
        minutes = min(earned.need.timed_minutes, left.minutes)
        limits.append(max(left.held, earned.untimed + units_of_total(minutes)))
    known = [one for one in limits if one is not None]
    return min(known) if known else None


@dataclass(frozen=True, slots=True)
class _Outcome:
    earned: Earned
    coverable: Earned
    shares: Shares
    left: Left
    closed: Gap | None

    @property
    def complete(self) -> bool:
        return self.shares.units >= self.earned.need.units


def _gaps(out: _Outcome) -> tuple[Gap, ...]:
    """Every reason why something is not covered, in the order of the list of reasons."""
    found = {one.gap for one in out.coverable.dropped}
    if out.earned.counting:
        found.discard(Gap.NO_SERVICE_CODE)
    if not out.earned.need.units and (out.earned.need.timed_minutes or not found):
        found.add(Gap.UNDER_EIGHT_MINUTES)
    if out.closed and not out.complete:
        found.add(out.closed)
    elif out.shares.units < out.coverable.need.units:
        found |= _short_of(out)
    return tuple(gap for gap in Gap if gap in found)


def _short_of(out: _Outcome) -> set[Gap]:
    found = set()
    need, left = out.coverable.need, out.left
    if left.minutes is not None and units_of_total(left.minutes) < units_of_total(
        need.timed_minutes
    ):
        found.add(Gap.NO_MINUTES_LEFT if left.minutes < LEAST_MINUTES else Gap.MINUTES_SHORT)
    lines_short = any(left.by_line.get(code, units) < units for code, units in need.sure.items())
    if not found or lines_short or (left.units is not None and left.units < need.units):
        found.add(Gap.UNITS_SHORT if out.shares.units else Gap.NO_UNITS_LEFT)
    return found


def _covered(shares: Shares, gaps: tuple[Gap, ...]) -> Covered:
    if not shares.units:
        return Covered.NOT
    return Covered.PARTLY if gaps else Covered.COVERED
