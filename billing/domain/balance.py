"""What an authorization has left for a day, and what a new reckoning changes of it. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from billing.domain.cover import Authorized, Cover, Used, Visit
from billing.domain.events import Entry, Treated, VisitDrawn
from billing.domain.terms import Discipline


@dataclass(frozen=True, slots=True)
class Day:
    """The treatment day that is reckoned: its signed sessions, and what it was before."""

    visit_id: UUID
    local_date: date
    discipline: Discipline
    sessions: tuple[Treated, ...]
    earlier: Visit | None = None

    def held(self, authorization_id: UUID) -> VisitDrawn | None:
        """The earlier reckoning where it holds units of that authorization."""
        if self.earlier is None or not self.earlier.drawn_from(authorization_id):
            return None
        return self.earlier.last


@dataclass(frozen=True, slots=True)
class Left:
    """What an authorization still has for one day, the day's own earlier draw included.

    None = not limited. ``held`` units are the day's own, drawn or reserved: minutes that
    are short do not take them back.
    """

    visits: int | None
    units: int | None
    minutes: int | None
    by_line: dict[str, int]
    held: int = 0


def units_held(drawn: VisitDrawn | None) -> int:
    """Units that a reckoning holds, those reserved for a choice included."""
    if drawn is None:
        return 0
    return sum(drawn.drawn.values()) + (drawn.open.units if drawn.open else 0)


def left_for(day: Day, cover: Cover, authorization: Authorized) -> Left:
    """What nobody drew yet, and what the day drew itself.

    Below zero (reduced after draws) is nothing left: draws stand. A day outside the
    period keeps only what it drew before the period changed.
    """
    terms, used = authorization.terms, cover.used.get(authorization.id, Used())
    held = day.held(authorization.id)
    open_day = authorization.covers_day(day.local_date)

    def rest(limit: int | None, spent: int, own: int) -> int | None:
        if not open_day:
            return own
        return None if limit is None else own + max(0, limit - spent)

    by_line = {}
    for line in terms.lines:
        if line.units is not None:
            others = cover.held_of_line(authorization.id, line.code, without=day.visit_id)
            own = held.drawn.get(line.code, 0) if held else 0
            by_line[line.code] = max(own, line.units - others)
    own_visits = visits_of(day.earlier, authorization.id) - _others(day, cover, authorization.id)
    return Left(
        visits=rest(terms.visits, used.visits, len(own_visits)),
        units=rest(terms.units, used.units + used.reserved, units_held(held)),
        minutes=rest(
            terms.minutes,
            used.minutes + used.reserved_minutes,
            held.drawn_minutes + held.reserved_minutes if held else 0,
        ),
        by_line=by_line,
        held=units_held(held),
    )


def entries(day: Day, cover: Cover, now: VisitDrawn) -> tuple[Entry, ...]:
    """What the new reckoning changes of each authorization that it or the earlier one used."""
    before = day.earlier.last if day.earlier else None
    touched = {one.authorization_id for one in (before, now) if one and one.authorization_id}
    made = []
    for authorization_id in sorted(touched):
        was = before if before and before.authorization_id == authorization_id else None
        will = now if now.authorization_id == authorization_id else None
        others = _others(day, cover, authorization_id)
        entry = Entry(
            authorization_id=authorization_id,
            visits=len(others | _counts(will)) - len(others | _counts(was)),
            units=_sum(will) - _sum(was),
            reserved=_reserved(will) - _reserved(was),
            minutes=_minutes(will) - _minutes(was),
            reserved_minutes=_reserved_minutes(will) - _reserved_minutes(was),
            by_code=_by_code(was, will),
        )
        if entry != Entry(authorization_id=authorization_id):
            made.append(entry)
    return tuple(made)


def _others(day: Day, cover: Cover, authorization_id: UUID) -> frozenset[str]:
    return cover.counted(authorization_id, without=day.visit_id)


def visits_of(earlier: Visit | None, authorization_id: UUID) -> frozenset[str]:
    """The days (or sessions) that an earlier calculation used visits of an authorization for."""
    if earlier is None or earlier.last.authorization_id != authorization_id:
        return frozenset()
    return frozenset(earlier.last.counts_as)


def _counts(drawn: VisitDrawn | None) -> frozenset[str]:
    return frozenset(drawn.counts_as) if drawn else frozenset()


def _sum(drawn: VisitDrawn | None) -> int:
    return sum(drawn.drawn.values()) if drawn else 0


def _reserved(drawn: VisitDrawn | None) -> int:
    return drawn.open.units if drawn and drawn.open else 0


def _minutes(drawn: VisitDrawn | None) -> int:
    return drawn.drawn_minutes if drawn else 0


def _reserved_minutes(drawn: VisitDrawn | None) -> int:
    return drawn.reserved_minutes if drawn else 0


def _by_code(was: VisitDrawn | None, will: VisitDrawn | None) -> dict[str, int]:
    before, after = (was.drawn if was else {}), (will.drawn if will else {})
    change = {code: after.get(code, 0) - before.get(code, 0) for code in sorted({*before, *after})}
    return {code: units for code, units in change.items() if units}
