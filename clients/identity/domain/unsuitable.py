"""Which times do not suit a client: days of chemotherapy, school, work. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Final

from clients.identity.domain.contact import UnsuitableTime
from practice.core.localtime import (
    day_bounds,
    derived_instant,
    instant_of,
    local_day,
    minute_after,
    minute_of,
)
from practice.core.reasons import UNSUITABLE_TIME, Reason
from practice.core.spans import Span, merged

_WEEKDAYS: Final = (
    "Mondays",
    "Tuesdays",
    "Wednesdays",
    "Thursdays",
    "Fridays",
    "Saturdays",
    "Sundays",
)


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
    days = _days(zone, starts_at, ends_at)
    return tuple(
        one for one in known if any(_touches(one, zone, day, starts_at, ends_at) for day in days)
    )


def falls_on(one: UnsuitableTime, day: date) -> bool:
    """Whether it is on a day of the client's at all."""
    return (
        one.weekday in (None, day.isoweekday())
        and (one.from_date is None or one.from_date <= day)
        and (one.until is None or day <= one.until)
    )


def unsuitable_spans(times: Iterable[UnsuitableTime], zone: str, within: Span) -> list[Span]:
    """The same as spans of minutes, of the client's days that ``within`` reaches into."""
    known = tuple(times)
    if not known:
        return []
    days = _days(zone, *map(instant_of, within))
    bounds = (_bounds(one, zone, day) for one in known for day in days)
    return merged((minute_of(one[0]), minute_after(one[1])) for one in bounds if one is not None)


def unsuitable_reasons(times: Iterable[UnsuitableTime]) -> list[Reason]:
    """Why a time does not suit, in the order in which it was said."""
    return [
        Reason(
            code=UNSUITABLE_TIME.code,
            text=f"It does not suit the client: {text}.",
            source=UNSUITABLE_TIME.source,
        )
        for text in unsuitable_texts(times)
    ]


def unsuitable_texts(times: Iterable[UnsuitableTime]) -> list[str]:
    """The times in plain words, each with what it is for."""
    return [_told(one) for one in times]


def _told(one: UnsuitableTime) -> str:
    said = ["every day" if one.weekday is None else _WEEKDAYS[one.weekday - 1]]
    if one.starts is not None and one.ends is not None:
        said.append(f"{one.starts:%H:%M} to {one.ends:%H:%M}")
    said += [f"from {one.from_date}"] if one.from_date else []
    said += [f"until {one.until}"] if one.until else []
    return " ".join(said) + (f" ({one.reason})" if one.reason else "")


def _days(zone: str, begin: datetime, end: datetime) -> list[date]:
    first, last = local_day(begin, zone), local_day(end, zone)
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _touches(
    one: UnsuitableTime, zone: str, day: date, starts_at: datetime, ends_at: datetime
) -> bool:
    bounds = _bounds(one, zone, day)
    return bounds is not None and starts_at < bounds[1] and bounds[0] < ends_at


def _bounds(one: UnsuitableTime, zone: str, day: date) -> tuple[datetime, datetime] | None:
    """When it begins and ends on a day of the client's; None where it is not on that day."""
    if not falls_on(one, day):
        return None
    if one.starts is None or one.ends is None:
        return day_bounds(day, zone)
    begin, end = (datetime.combine(day, at) for at in (one.starts, one.ends))
    return derived_instant(begin, zone), derived_instant(end, zone)
