"""Dates of which only the month or the year is known. Pure.

Weeks count from the last day that it can have been, notes are marked from the first (ruling
47). A field of a fact holds the last possible day; its ``..._precision`` says how much of it
is known.
"""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple


class DatePrecision(StrEnum):
    """How much of a date is known."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"


class PartialDate(NamedTuple):
    """The last day that it can have been, and how much is known."""

    last: date
    precision: DatePrecision


def of_month(year: int, month: int) -> PartialDate:
    """A month by its last day."""
    after = date(year + month // 12, month % 12 + 1, 1)
    return PartialDate(after - timedelta(days=1), DatePrecision.MONTH)


def of_year(year: int) -> PartialDate:
    """A year by its last day."""
    return PartialDate(date(year, 12, 31), DatePrecision.YEAR)


def first_possible(last: date | None, precision: DatePrecision) -> date | None:
    """The first day that it can have been; None: nothing is known."""
    if last is None or precision is DatePrecision.DAY:
        return last
    if precision is DatePrecision.MONTH:
        return last.replace(day=1)
    return last.replace(month=1, day=1)


def date_text(last: date, precision: DatePrecision) -> str:
    """What is known of it, as ISO 8601: "2026-03-02", "2026-03" or "2026"."""
    length = {DatePrecision.DAY: 10, DatePrecision.MONTH: 7, DatePrecision.YEAR: 4}[precision]
    return last.isoformat()[:length]
