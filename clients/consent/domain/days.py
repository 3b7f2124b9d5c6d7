"""On which days a consent counts, and whether it ends soon. Pure."""

from __future__ import annotations

from datetime import date, timedelta

from clients.consent.domain.terms import ConsentStatus


def counts_on(day: date, status: str, given_on: date | None, until: date | None) -> bool:
    """Whether a consent counts on a local day: from the day it was given to its last one."""
    if status != ConsentStatus.GRANTED or given_on is None or until is None:
        return False
    return given_on <= day <= until


def ends_soon(day: date, until: date, warning_days: int) -> bool:
    """Whether a consent that counts on a day ends within so many days after it."""
    return day <= until <= day + timedelta(days=warning_days)
