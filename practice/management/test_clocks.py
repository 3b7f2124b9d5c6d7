"""The clocks of ``manage.py test --clock``: months on, summer, a leap day, nights of a change.

None of them is a date that ages: each is counted from the day on which it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta

HORIZON_HOURS = 366 * 24
BEFORE = timedelta(minutes=5)


def instant_of(name: str, today: date) -> datetime:
    """The instant of a clock: one of ``CLOCKS`` by name, or a time in ISO 8601 (UTC if bare).

    Raises ValueError for anything else.
    """
    if name in CLOCKS:
        return CLOCKS[name](today)
    try:
        instant = datetime.fromisoformat(name)
    except ValueError:
        known = ", ".join(CLOCKS)
        raise ValueError(f"{name}: give {known}, or a time such as 2031-12-25T10:00") from None
    return instant.replace(tzinfo=UTC) if instant.tzinfo is None else instant.astimezone(UTC)


def thirteen_months_on(today: date) -> datetime:
    """In the morning thirteen months from today: every date that ages has aged."""
    return datetime.combine(today + relativedelta(months=13), time(10), tzinfo=UTC)


def next_day(today: date, *, month: int, day: int) -> datetime:
    """In the morning of the next such day after today."""
    found = today + timedelta(days=1)
    while (found.month, found.day) != (month, day):
        found += timedelta(days=1)
    return datetime.combine(found, time(10), tzinfo=UTC)


def change_after(today: date, zone: str, *, back: bool) -> datetime:
    """When the clocks of a zone next go back (or forward), not before tomorrow.

    Raises ValueError for a zone whose clocks do not change on a full hour within a year.
    """
    place, hour = ZoneInfo(zone), timedelta(hours=1)
    start = datetime.combine(today + timedelta(days=1), time(0), tzinfo=UTC)
    for number in range(1, HORIZON_HOURS):
        instant = start + number * hour
        before, after = (instant - hour).astimezone(place), instant.astimezone(place)
        passed = after.replace(tzinfo=None) - before.replace(tzinfo=None)
        if (passed < hour) if back else (passed > hour):
            return instant
    raise ValueError(f"The clocks of {zone} do not change.")


CLOCKS: dict[str, Callable[[date], datetime]] = {
    "later": thirteen_months_on,
    "summer": lambda today: next_day(today, month=7, day=1),
    "leap-day": lambda today: next_day(today, month=2, day=29),
    "us-autumn": lambda today: change_after(today, "America/New_York", back=True) - BEFORE,
    "us-spring": lambda today: change_after(today, "America/New_York", back=False) - BEFORE,
    "eu-autumn": lambda today: change_after(today, "Europe/London", back=True) - BEFORE,
    "eu-spring": lambda today: change_after(today, "Europe/London", back=False) - BEFORE,
}
"""Clocks by name. The nights begin shortly before their change: the tests run on through it."""
