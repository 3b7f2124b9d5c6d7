"""What the pure function of open times takes: the first page, and every start of a year."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from itertools import chain, islice
from typing import Final
from uuid import UUID, uuid4

from practice.clock import clock
from practice.core.localtime import minute_of
from sessions.booking.domain.open_times import FacilityTimes, OpenTimesRequest, TakenTimes
from sessions.calendar.selectors.facilities import calendar_settings, facility_calendar
from tests.builders import Built

DAYS: Final = 365
A_DAY: Final = 6
FIRST_PAGE: Final = 50


def pure_seconds(built: Built, people: list[UUID]) -> dict[str, float]:
    """Seconds for the first page and for counting a year, six hours of each day taken."""
    calendar = facility_calendar(built.east.pk, built.east.zone, people)
    now = clock.now().replace(minute=0, second=0, microsecond=0)
    starts = [
        minute_of(now) + (24 * day + 2 * number) * 60
        for day in range(DAYS)
        for number in range(A_DAY)
    ]
    taken = [(start, start + 60) for start in starts]
    asked = OpenTimesRequest(
        first_day=now.date(),
        last_day=now.date() + timedelta(days=DAYS - 1),
        length=60,
        step=calendar_settings().open_times_step_minutes,
        not_before=now,
    )
    held = TakenTimes(practitioners=dict.fromkeys(people, taken), client=(), rooms={uuid4(): ()})

    def first_page() -> object:
        times = FacilityTimes(asked, calendar, held)
        in_order = chain.from_iterable(times.day(day).in_order() for day in asked.days())
        return list(islice(in_order, FIRST_PAGE))

    def year() -> object:
        times = FacilityTimes(asked, calendar, held)
        return sum(times.day(day).count for day in asked.days())

    return {"first 50": _seconds(first_page), "a year, counted": _seconds(year)}


def _seconds(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    assert act()
    return time.perf_counter() - start
