"""Which times do not suit a client: days of chemotherapy, school, work. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from clients.identity.domain.contact import UnsuitableTime
from practice.core.localtime import day_bounds, derived_instant, local_day


def unsuitable(
    times: Iterable[UnsuitableTime], zone: str, starts_at: datetime, ends_at: datetime
) -> tuple[UnsuitableTime, ...]:
    """Those of the times that a session from ``starts_at`` to ``ends_at`` (aware) would touch.

    ``zone``: the client's IANA zone, on whose clock the times are said. A session that begins
    as one ends, or ends as one begins, does not touch it.
    """
    known = tuple(times)
    if not known:
        return ()
    first, last = local_day(starts_at, zone), local_day(ends_at, zone)
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    return tuple(
        one for one in known if any(_touches(one, zone, day, starts_at, ends_at) for day in days)
    )


def _touches(
    one: UnsuitableTime, zone: str, day: date, starts_at: datetime, ends_at: datetime
) -> bool:
    if one.weekday is not None and one.weekday != day.isoweekday():
        return False
    if (one.from_date and day < one.from_date) or (one.until and day > one.until):
        return False
    begin, end = day_bounds(day, zone)
    if one.starts is not None and one.ends is not None:
        begin = derived_instant(datetime.combine(day, one.starts), zone)
        end = derived_instant(datetime.combine(day, one.ends), zone)
    return starts_at < end and begin < ends_at
