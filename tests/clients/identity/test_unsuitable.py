"""Which times do not suit a client: on the client's clock, at its edges, on days of a clock
change. The days of the changes are those of the IANA time zone database."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.domain.unsuitable import unsuitable

ZONE = "America/New_York"
TUESDAY = date(2026, 3, 10)


def touches(one: UnsuitableTime, starts: str, ends: str, zone: str = ZONE) -> bool:
    """Whether a session at local times of ``zone`` touches it, told on New York's clock."""
    here = ZoneInfo(zone)
    begin, end = (datetime.fromisoformat(at).replace(tzinfo=here) for at in (starts, ends))
    return unsuitable((one,), ZONE, begin, end) == (one,)


MORNING: dict[str, Any] = {"starts": time(8), "ends": time(12), "reason": "school"}


@pytest.mark.parametrize(
    ("starts", "ends", "there"),
    [
        ("2026-03-10T07:00", "2026-03-10T08:00", False),
        ("2026-03-10T07:00", "2026-03-10T08:01", True),
        ("2026-03-10T11:59", "2026-03-10T13:00", True),
        ("2026-03-10T12:00", "2026-03-10T13:00", False),
        ("2026-03-10T06:00", "2026-03-10T14:00", True),
        ("2026-03-09T09:00", "2026-03-09T10:00", False),
        ("2026-03-17T09:00", "2026-03-17T10:00", True),
    ],
)
def test_a_weekday_and_hours(starts: str, ends: str, there: bool) -> None:
    one = UnsuitableTime(weekday=TUESDAY.isoweekday(), **MORNING)
    assert touches(one, starts, ends) is there


def test_the_times_are_told_by_the_clients_clock_not_by_the_facilitys() -> None:
    one = UnsuitableTime(weekday=2, **MORNING)
    assert touches(one, "2026-03-10T08:30", "2026-03-10T09:30", "America/Los_Angeles")
    assert not touches(one, "2026-03-10T09:00", "2026-03-10T10:00", "America/Los_Angeles")


@pytest.mark.parametrize(
    ("day", "there"),
    [("2026-03-09", False), ("2026-03-10", True), ("2026-03-12", True), ("2026-03-13", False)],
)
def test_from_the_first_day_to_the_last(day: str, there: bool) -> None:
    """Days of chemotherapy: the whole day, both ends within."""
    one = UnsuitableTime(from_date=TUESDAY, until=date(2026, 3, 12), reason="chemotherapy")
    assert touches(one, f"{day}T09:00", f"{day}T10:00") is there


def test_a_session_over_midnight_touches_both_days() -> None:
    late, next_day = "2026-03-09T23:30", "2026-03-10T00:30"
    assert touches(UnsuitableTime(weekday=2), late, next_day)
    assert touches(UnsuitableTime(weekday=1), late, next_day)
    assert not touches(UnsuitableTime(weekday=3), late, next_day)
    assert not touches(UnsuitableTime(weekday=2), "2026-03-09T23:00", "2026-03-10T00:00")


def test_on_the_days_of_a_clock_change_the_local_hours_count() -> None:
    """Clocks go forward on 8 March 2026 at 02:00 and back on 1 November 2026 at 02:00."""
    night = UnsuitableTime(weekday=7, starts=time(1), ends=time(3))
    assert touches(night, "2026-03-08T01:30", "2026-03-08T01:45")
    assert not touches(night, "2026-03-08T03:00", "2026-03-08T04:00")
    assert touches(night, "2026-11-01T02:30", "2026-11-01T03:00")
    assert not touches(night, "2026-11-01T03:00", "2026-11-01T04:00")


def test_all_that_are_touched_are_named_and_without_any_none() -> None:
    here = ZoneInfo(ZONE)
    begin, end = (datetime(2026, 3, 10, hour, tzinfo=here) for hour in (9, 10))
    times = (UnsuitableTime(weekday=2), UnsuitableTime(weekday=3), UnsuitableTime(until=TUESDAY))
    assert unsuitable(times, ZONE, begin, end) == (times[0], times[2])
    assert unsuitable((), ZONE, begin, end) == ()
