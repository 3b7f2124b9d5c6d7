"""What an authorization has left for a day, and what a new calculation changes of it. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import TreatedSession, UsageChange, VisitCalculated
from billing.authorizations.domain.state import (
    AuthorizationBalance,
    AuthorizationState,
    UsedAmounts,
    VisitState,
)
from billing.authorizations.domain.terms import Discipline, UncoveredReason


@dataclass(frozen=True, slots=True)
class TreatmentDay:
    """The treatment day that is calculated: its signed sessions, and what it was before."""

    visit_id: UUID
    local_date: date
    discipline: Discipline
    sessions: tuple[TreatedSession, ...]
    earlier: VisitState | None = None

    @property
    def given_back(self) -> bool:
        """Whether a person gave back what it used: then it uses nothing by itself."""
        return self.earlier is not None and self.earlier.last.given_back

    @property
    def why_without_authorization(self) -> tuple[UncoveredReason, ...]:
        """Why nothing is covered where no authorization is on record."""
        waits = any(one.awaits_co_signature for one in self.sessions)
        more = (UncoveredReason.AWAITING_CO_SIGNATURE,) if waits else ()
        return (UncoveredReason.NO_AUTHORIZATION, *more)

    def when_given_back(self, *, given_back: bool) -> TreatmentDay:
        """The same day, given back or not."""
        if self.earlier is None:
            return self
        last = msgspec.structs.replace(self.earlier.last, given_back=given_back)
        return replace(self, earlier=replace(self.earlier, last=last))

    def committed(self, authorization_id: UUID) -> VisitCalculated | None:
        """The earlier calculation where it holds units of that authorization."""
        if self.earlier is None or not self.earlier.uses_units_of(authorization_id):
            return None
        return self.earlier.last


@dataclass(frozen=True, slots=True)
class RemainingAmounts:
    """What an authorization still has for one day, the day's own earlier use included.

    None = not limited. ``committed`` units are the day's own, used or reserved: minutes that
    are short do not take them back.
    """

    visits: int | None
    units: int | None
    minutes: int | None
    by_line: dict[str, int]
    committed: int = 0


def units_committed(used_units: VisitCalculated | None) -> int:
    """Units that a calculation holds, those reserved for a choice included."""
    if used_units is None:
        return 0
    return sum(used_units.used_units.values()) + (
        used_units.undecided.units if used_units.undecided else 0
    )


def remaining_for(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    authorization: AuthorizationState,
) -> RemainingAmounts:
    """What nobody used yet, and what the day used itself.

    Below zero (reduced after use) is nothing left: what was used stays used. A day outside
    the period keeps only what it used before the period changed, one given back nothing.
    """
    if day.given_back:
        return RemainingAmounts(visits=0, units=0, minutes=0, by_line={})
    terms, used = (
        authorization.terms,
        authorization_balance.used.get(authorization.id, UsedAmounts()),
    )
    committed = day.committed(authorization.id)
    open_day = authorization.covers_day(day.local_date)

    def rest(limit: int | None, spent: int, own: int) -> int | None:
        if not open_day:
            return own
        return None if limit is None else own + max(0, limit - spent)

    by_line = {}
    for line in terms.lines:
        if line.units is not None:
            others = authorization_balance.committed_of_line(
                authorization.id, line.code, without=day.visit_id
            )
            own = committed.used_units.get(line.code, 0) if committed else 0
            by_line[line.code] = max(own, line.units - others)
    own_visits = visits_of(day.earlier, authorization.id) - _others(
        day, authorization_balance, authorization.id
    )
    return RemainingAmounts(
        visits=rest(terms.visits, used.visits, len(own_visits)),
        units=rest(terms.units, used.units + used.reserved, units_committed(committed)),
        minutes=rest(
            terms.minutes,
            used.minutes + used.reserved_minutes,
            committed.used_minutes + committed.reserved_minutes if committed else 0,
        ),
        by_line=by_line,
        committed=units_committed(committed),
    )


def usage_changes(
    day: TreatmentDay, authorization_balance: AuthorizationBalance, now: VisitCalculated
) -> tuple[UsageChange, ...]:
    """What the new calculation changes of each authorization that it or the earlier one used."""
    before = day.earlier.last if day.earlier else None
    touched = {one.authorization_id for one in (before, now) if one and one.authorization_id}
    made = []
    for authorization_id in sorted(touched):
        was = before if before and before.authorization_id == authorization_id else None
        will = now if now.authorization_id == authorization_id else None
        others = _others(day, authorization_balance, authorization_id)
        entry = UsageChange(
            authorization_id=authorization_id,
            visits=len(others | _counts(will)) - len(others | _counts(was)),
            units=_sum(will) - _sum(was),
            reserved=_reserved(will) - _reserved(was),
            minutes=_minutes(will) - _minutes(was),
            reserved_minutes=_reserved_minutes(will) - _reserved_minutes(was),
            by_code=_by_code(was, will),
        )
        if entry != UsageChange(authorization_id=authorization_id):
            made.append(entry)
    return tuple(made)


def _others(
    day: TreatmentDay, authorization_balance: AuthorizationBalance, authorization_id: UUID
) -> frozenset[str]:
    return authorization_balance.counted(authorization_id, without=day.visit_id)


def visits_of(earlier: VisitState | None, authorization_id: UUID) -> frozenset[str]:
    """The days (or sessions) that an earlier calculation used visits of an authorization for."""
    if earlier is None or earlier.last.authorization_id != authorization_id:
        return frozenset()
    return frozenset(earlier.last.counts_as)


def _counts(used_units: VisitCalculated | None) -> frozenset[str]:
    return frozenset(used_units.counts_as) if used_units else frozenset()


def _sum(used_units: VisitCalculated | None) -> int:
    return sum(used_units.used_units.values()) if used_units else 0


def _reserved(used_units: VisitCalculated | None) -> int:
    return used_units.undecided.units if used_units and used_units.undecided else 0


def _minutes(used_units: VisitCalculated | None) -> int:
    return used_units.used_minutes if used_units else 0


def _reserved_minutes(used_units: VisitCalculated | None) -> int:
    return used_units.reserved_minutes if used_units else 0


def _by_code(was: VisitCalculated | None, will: VisitCalculated | None) -> dict[str, int]:
    before, after = (was.used_units if was else {}), (will.used_units if will else {})
    change = {code: after.get(code, 0) - before.get(code, 0) for code in sorted({*before, *after})}
    return {code: units for code, units in change.items() if units}
