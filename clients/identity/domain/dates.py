"""Which dates can be, by the client's own calendar."""

from __future__ import annotations

from datetime import date, datetime

from practice.core.decisions import Context
from practice.core.localtime import day_bounds
from practice.core.reasons import invalid

OLDEST_YEARS = 125
"""Nobody is older; the oldest age on record is 122 years (from memory)."""


def occurrence_time(ctx: Context, occurred_at: datetime | None) -> datetime:
    """When something happened: now, or as given. Raises Rejected 400 for the future."""
    if occurred_at is None:
        return ctx.now
    if occurred_at > ctx.now:
        raise invalid("occurred_at", "What happened cannot lie in the future.")
    return occurred_at


def start_of_day(day: date, zone: str, now: datetime) -> datetime:
    """The first instant of a day in a zone, or now where that is earlier."""
    return min(day_bounds(day, zone)[0], now)


def check_not_future(field: str, day: date | None, today: date) -> None:
    """Raises Rejected 400 for a day after today."""
    if day is not None and day > today:
        raise invalid(field, f"This cannot lie after today, {today.isoformat()}.")


def check_order(field: str, first: date | None, last: date | None) -> None:
    """Raises Rejected 400 where the last day is before the first."""
    if first is not None and last is not None and last < first:
        raise invalid(field, f"This cannot lie before {first.isoformat()}.")


def check_within_lifetime(field: str, day: date | None, birth_date: date | None) -> None:
    """Raises Rejected 400 for a day before the client was born."""
    if day is not None and birth_date is not None and day < birth_date:
        raise invalid(
            field, f"This cannot lie before the client's birth on {birth_date.isoformat()}."
        )


def check_birth_date(birth_date: date | None, today: date) -> None:
    """Raises Rejected 400 for a birth date that cannot be."""
    if birth_date is None:
        return
    check_not_future("birth_date", birth_date, today)
    if today.year - birth_date.year > OLDEST_YEARS:
        raise invalid("birth_date", f"Nobody is older than {OLDEST_YEARS}; check the year.")


def birthday(birth_date: date, years: int) -> date:
    """The day on which somebody is so old; born on 29 February: 1 March of a common year."""
    try:
        return birth_date.replace(year=birth_date.year + years)
    except ValueError:
        return date(birth_date.year + years, 3, 1)
