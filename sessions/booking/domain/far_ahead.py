"""A session so far ahead that the year may be a slip. Pure."""

from __future__ import annotations

from datetime import datetime

from dateutil.relativedelta import relativedelta

from practice.core.localtime import local_day
from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot


def far_ahead_warnings(slot: Slot, now: datetime, months: int) -> list[Reason]:
    """A warning where a slot lies more than so many calendar months after today, by the day on
    the facility's clock."""
    day = slot.local_start.date()
    if day <= local_day(now, slot.zone) + relativedelta(months=months):
        return []
    text = f"{day.isoformat()} is more than {months} months ahead: see that the year is right."
    return [Reason(code="far_ahead", text=text, source="practice policy")]
