"""Whether a consent ends soon. Pure."""

from __future__ import annotations

from datetime import date, timedelta


def ends_soon(day: date, until: date, warning_days: int) -> bool:
    """Whether a consent that counts on a day ends within so many days after it."""
    return day <= until <= day + timedelta(days=warning_days)
