"""Reminders go by the client's local time, in the nights in which the clocks change too."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from clients.reminders.domain.hours import ReminderSettings, quiet_hours_end
from clients.reminders.domain.rules import ReminderRule
from practice.core.localtime import zone_named

NEW_YORK = "America/New_York"
NIGHT = ReminderSettings(quiet_from_hour=20, quiet_until_hour=8)
SPRING, FALL = date(2027, 3, 14), date(2027, 11, 7)


def at(day: date, clock_time: str, fold: int = 0) -> datetime:
    """An instant by the clock on the wall of New York."""
    local = datetime.fromisoformat(f"{day}T{clock_time}").replace(fold=fold)
    return local.replace(tzinfo=zone_named(NEW_YORK)).astimezone(UTC)


@pytest.mark.parametrize(
    ("day", "clock_time", "fold", "hours"),
    [
        (SPRING, "01:59", 0, 6 - 59 / 60),  # 02:00 is 03:00: an hour less to wait
        (SPRING, "03:00", 0, 5),
        (SPRING, "00:00", 0, 7),
        (FALL, "01:30", 0, 7.5),
        (FALL, "01:30", 1, 6.5),
        (FALL, "00:00", 0, 9),
        (SPRING - timedelta(days=1), "20:00", 0, 11),
        (FALL - timedelta(days=1), "20:00", 0, 13),
    ],
)
def test_the_quiet_hours_end_at_eight_by_the_new_clock(
    day: date, clock_time: str, fold: int, hours: float
) -> None:
    now = at(day, clock_time, fold)
    end = quiet_hours_end(now, NEW_YORK, NIGHT)
    assert end is not None
    assert f"{end.astimezone(zone_named(NEW_YORK)):%H:%M}" == "08:00"
    assert end.astimezone(UTC) - now == timedelta(hours=hours)
    assert quiet_hours_end(end, NEW_YORK, NIGHT) is None, "then it goes"


@pytest.mark.parametrize(
    ("day", "hour"), [(SPRING, 12), (FALL, 13), (SPRING - timedelta(days=1), 13)]
)
def test_eight_o_clock_is_another_instant_after_the_change(day: date, hour: int) -> None:
    before, begin = at(day, "07:59"), datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
    end = quiet_hours_end(before, NEW_YORK, NIGHT)
    assert end is not None
    assert end.astimezone(UTC) == begin


@pytest.mark.parametrize(
    ("day", "hour", "instant"),
    [
        (SPRING, 10, datetime(2027, 3, 13, 15, tzinfo=UTC)),
        (SPRING + timedelta(days=1), 10, datetime(2027, 3, 14, 14, tzinfo=UTC)),
        (SPRING + timedelta(days=1), 2, datetime(2027, 3, 14, 7, tzinfo=UTC)),  # No such hour: 3.
        (FALL + timedelta(days=1), 10, datetime(2027, 11, 7, 15, tzinfo=UTC)),
        (FALL + timedelta(days=1), 1, datetime(2027, 11, 7, 5, tzinfo=UTC)),  # The first of two.
    ],
)
def test_the_day_before_at_the_hour_of_the_practice(
    day: date, hour: int, instant: datetime
) -> None:
    rule = ReminderRule(is_on=True, lead_days=1, hour=hour, most_repeats=0, quiet_hours=())
    assert rule.goes_at(day, NEW_YORK, days_before=rule.lead_days) == instant
