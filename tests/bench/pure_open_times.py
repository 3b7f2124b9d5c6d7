"""What the pure function of open times takes: the first page, and every start."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from itertools import islice
from typing import Final
from uuid import UUID, uuid4

from practice.clock import clock
from sessions.booking.domain.open_times import (
    OpenTimesRequest,
    TakenTimes,
    TimeSpan,
    find_open_slots,
)
from sessions.calendar.selectors.facilities import calendar_settings, facility_calendar
from tests.builders import Built

DAYS: Final = 31
A_DAY: Final = 6
FIRST_PAGE: Final = 50


def pure_seconds(built: Built, people: list[UUID]) -> dict[str, float]:
    """Seconds for the first page and for all of the days, six hours of each taken."""
    calendar = facility_calendar(built.east.pk, built.east.zone, people)
    now = clock.now().replace(minute=0, second=0, microsecond=0)
    hour = timedelta(hours=1)
    starts = [
        now + timedelta(days=day, hours=2 * number)
        for day in range(DAYS)
        for number in range(A_DAY)
    ]
    taken = [TimeSpan(start, start + hour) for start in starts]
    asked = OpenTimesRequest(
        first_day=now.date(),
        last_day=now.date() + timedelta(days=DAYS - 1),
        length=hour,
        step=timedelta(minutes=calendar_settings().open_times_step_minutes),
        not_before=now,
    )
    held = TakenTimes(practitioners=dict.fromkeys(people, taken), client=(), rooms={uuid4(): ()})
    return {
        "first 50": _seconds(
            lambda: list(islice(find_open_slots(asked, calendar, held), FIRST_PAGE))
        ),
        f"all of {DAYS} days": _seconds(lambda: list(find_open_slots(asked, calendar, held))),
    }


def _seconds(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    assert act()
    return time.perf_counter() - start
