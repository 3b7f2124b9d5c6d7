"""What a treatment day uses visits of an authorization for. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from billing.domain.balance import Day, visits_of
from billing.domain.cover import Authorized, Cover
from billing.domain.earning import Earned
from billing.domain.payers import VisitDefinition


@dataclass(frozen=True, slots=True)
class Counting:
    """What a day uses visits for, and the sessions that a visit is there for."""

    keys: tuple[str, ...] = ()
    sessions: tuple[UUID, ...] = ()


def counting(
    day: Day, cover: Cover, authorization: Authorized, earned: Earned, left: int | None
) -> Counting:
    """A calendar day that another discipline counted already needs no further visit; where
    each session is a visit, those counted before come first, then in order of signing. A day
    that earns no unit needs no visit."""
    if not earned.need.units:
        return Counting((), earned.counting)
    if earned.definition is VisitDefinition.CALENDAR_DAY:
        key = day.local_date.isoformat()
        if left is None or left > 0 or key in cover.counted(authorization.id, without=day.visit_id):
            return Counting((key,), earned.counting)
        return Counting()
    before = visits_of(day.earlier, authorization.id)
    waiting = sorted(earned.counting, key=lambda one: str(one) not in before)
    may = tuple(waiting if left is None else waiting[:left])
    return Counting(tuple(str(one) for one in may), may)
