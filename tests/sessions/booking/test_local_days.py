"""Sessions of a day are those of the facility's own day, in every zone and on every day."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from sessions.booking.filters import SessionFilter
from sessions.calendar.models import Session

pytestmark = pytest.mark.django_db
ZONES = (
    "Pacific/Kiritimati",
    "Pacific/Pago_Pago",
    "Etc/GMT+12",
    "America/New_York",
    "Asia/Kolkata",
)
CLOCKS_ON, CLOCKS_BACK = date(2026, 3, 8), date(2026, 11, 1)
FIRST, LAST = time(0, 0), time(23, 59, 59)


def _session(day: date, at: time, zone: str, *, fold: int = 0) -> Session:
    begins = datetime.combine(day, at, ZoneInfo(zone)).replace(fold=fold).astimezone(UTC)
    return Session.objects.create(
        id=uuid4(),
        client_id=uuid4(),
        version=1,
        practitioner_id=uuid4(),
        facility_id=uuid4(),
        starts_at=begins,
        ends_at=begins + timedelta(hours=1),
        local_date=day,
        local_end_date=day,
        zone=zone,
        status="booked",
    )


def _found(**asked: date) -> set[object]:
    given = {name.rstrip("_"): day.isoformat() for name, day in asked.items()}
    return set(SessionFilter(given, queryset=Session.objects.all()).qs.values_list("pk", flat=True))


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("day", [date(2026, 6, 1), CLOCKS_ON, CLOCKS_BACK])
def test_a_day_has_its_first_and_its_last_minute_and_none_of_its_neighbours(
    day: date, zone: str
) -> None:
    before, after = day - timedelta(days=1), day + timedelta(days=1)
    earlier, later = _session(before, LAST, zone), _session(after, FIRST, zone)
    own = {_session(day, at, zone).pk for at in (FIRST, time(12), LAST)}
    assert _found(from_=day, to_=day) == own
    assert _found(from_=day) == own | {later.pk}
    assert _found(to_=day) == own | {earlier.pk}


def test_the_hour_that_comes_twice_is_of_its_day_both_times() -> None:
    zone = "America/New_York"
    own = {_session(CLOCKS_BACK, time(1, 30), zone, fold=fold).pk for fold in (0, 1)}
    assert _found(from_=CLOCKS_BACK, to_=CLOCKS_BACK) == own
