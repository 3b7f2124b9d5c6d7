"""Minutes counted by the database are those that Python counts, on both engines."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from practice.core.localtime import minute_after, minute_of
from practice.people_and_places.models.staff import Staff
from practice.work.minutes import MinuteAfter, MinuteOf
from tests.builders import build_practice

pytestmark = pytest.mark.django_db
WHOLE = datetime(2026, 11, 1, 5, 59, tzinfo=UTC)
"""A minute before clocks go back in New York."""
MICROSECOND = timedelta(microseconds=1)


@pytest.mark.parametrize(
    "instant",
    [
        WHOLE,
        WHOLE + MICROSECOND,
        WHOLE + timedelta(seconds=1),
        WHOLE + timedelta(seconds=59),
        WHOLE + timedelta(minutes=1) - MICROSECOND,
        WHOLE + timedelta(minutes=1),
    ],
)
def test_the_minute_of_an_instant_and_the_first_after_it(instant: datetime) -> None:
    build_practice()
    Staff.objects.update(last_login=instant)
    found = Staff.objects.values_list(MinuteOf("last_login"), MinuteAfter("last_login"))[0]
    assert found == (minute_of(instant), minute_after(instant))
    assert all(isinstance(one, int) for one in found)


@pytest.mark.postgresql
def test_postgresql_cuts_a_begin_and_rounds_an_end_up() -> None:
    build_practice()
    Staff.objects.update(last_login=WHOLE + timedelta(seconds=1))
    found = Staff.objects.values_list(MinuteOf("last_login"), MinuteAfter("last_login"))[0]
    assert found == (minute_of(WHOLE), minute_of(WHOLE) + 1)
