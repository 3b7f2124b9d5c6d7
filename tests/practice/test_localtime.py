"""Local times on the days clocks change, in two zones.

Change days from the IANA time zone database: New York 2026-03-08 02:00 (gap) and
2026-11-01 02:00 (fold); London 2026-03-29 01:00 (gap) and 2026-10-25 02:00 (fold).
"""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.localtime import (
    EnteredTime,
    Fold,
    day_bounds,
    derived_instant,
    entered_instant,
    local_day,
    zone_named,
)
from practice.core.reasons import Rejected

GAPS = [
    ("America/New_York", "2026-03-08T02:30", "2026-03-08T07:30+00:00", "03:30"),
    ("Europe/London", "2026-03-29T01:30", "2026-03-29T01:30+00:00", "02:30"),
]
FOLDS = [
    ("America/New_York", "2026-11-01T01:30", "2026-11-01T05:30+00:00", "2026-11-01T06:30+00:00"),
    ("Europe/London", "2026-10-25T01:30", "2026-10-25T00:30+00:00", "2026-10-25T01:30+00:00"),
]
PLAIN = [
    ("America/New_York", "2026-03-08T01:59", "2026-03-08T06:59+00:00"),
    ("America/New_York", "2026-03-08T03:00", "2026-03-08T07:00+00:00"),
    ("America/New_York", "2026-11-01T00:59", "2026-11-01T04:59+00:00"),
    ("America/New_York", "2026-11-01T02:00", "2026-11-01T07:00+00:00"),
    ("Europe/London", "2026-03-29T00:59", "2026-03-29T00:59+00:00"),
    ("Europe/London", "2026-03-29T02:00", "2026-03-29T01:00+00:00"),
    ("Europe/London", "2026-10-25T02:00", "2026-10-25T02:00+00:00"),
]


def t(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize(("zone", "local", "instant"), PLAIN)
def test_a_time_beside_the_change_is_one_instant(zone: str, local: str, instant: str) -> None:
    assert entered_instant(t(local), zone) == t(instant)
    assert derived_instant(t(local), zone) == t(instant)


@pytest.mark.parametrize(("zone", "local", "forward", "right"), GAPS)
def test_a_typed_time_in_the_gap_is_refused_with_what_would_be_right(
    zone: str, local: str, forward: str, right: str
) -> None:
    with pytest.raises(Rejected) as refusal:
        entered_instant(t(local), zone, field="starts_at")
    assert refusal.value.status == 400
    assert refusal.value.code == "local_time_does_not_exist"
    assert right in refusal.value.fields["starts_at"]
    with pytest.raises(Rejected):
        entered_instant(t(local), zone, fold=Fold.LATER)


@pytest.mark.parametrize(("zone", "local", "forward", "right"), GAPS)
def test_a_derived_time_goes_forward_out_of_the_gap(
    zone: str, local: str, forward: str, right: str
) -> None:
    found = derived_instant(t(local), zone)
    assert found == t(forward)
    assert found.astimezone(zone_named(zone)).strftime("%H:%M") == right


@pytest.mark.parametrize(("zone", "local", "first", "second"), FOLDS)
def test_a_typed_time_in_the_fold_asks_which(
    zone: str, local: str, first: str, second: str
) -> None:
    with pytest.raises(Rejected) as refusal:
        entered_instant(t(local), zone)
    assert refusal.value.status == 400
    assert refusal.value.code == "local_time_exists_twice"
    assert t(refusal.value.extra["earlier"]) == t(first)
    assert t(refusal.value.extra["later"]) == t(second)
    assert entered_instant(t(local), zone, fold=Fold.EARLIER) == t(first)
    assert entered_instant(t(local), zone, fold=Fold.LATER) == t(second)
    assert derived_instant(t(local), zone) == t(first)


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("America/New_York", date(2026, 3, 8), 23),
        ("America/New_York", date(2026, 11, 1), 25),
        ("Europe/London", date(2026, 3, 29), 23),
        ("Europe/London", date(2026, 10, 25), 25),
        ("America/New_York", date(2026, 7, 1), 24),
    ],
)
def test_days_are_23_24_or_25_hours_long(zone: str, day: date, hours: int) -> None:
    begin, end = day_bounds(day, zone)
    assert end - begin == timedelta(hours=hours)
    assert local_day(begin, zone) == day
    assert local_day(end - timedelta(microseconds=1), zone) == day
    assert local_day(end, zone) == day + timedelta(days=1)


def test_an_instant_stays_what_it_is() -> None:
    given_at = t("2026-03-08T02:30:00-05:00")
    assert EnteredTime(instant=given_at).at("America/New_York") == given_at


@pytest.mark.parametrize("name", ["Mars/Olympus", "", "../etc/passwd", "America", "x" * 500])
def test_an_unknown_zone_is_refused(name: str) -> None:
    with pytest.raises(Rejected) as refusal:
        zone_named(name)
    assert refusal.value.status == 400


@pytest.mark.parametrize(
    ("local", "zone"),
    [
        ("0001-01-01T00:00", "Asia/Tokyo"),
        ("9999-12-31T23:59", "Pacific/Pago_Pago"),
    ],
)
def test_a_time_beyond_the_calendar_is_refused(local: str, zone: str) -> None:
    with pytest.raises(Rejected) as refusal:
        entered_instant(t(local), zone, fold=Fold.EARLIER)
    assert refusal.value.status == 400


@given(
    st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2040, 1, 1)),
    st.sampled_from(["America/New_York", "Europe/London", "Australia/Lord_Howe", "Asia/Kolkata"]),
)
def test_a_typed_time_reads_back_as_typed(local: datetime, zone: str) -> None:
    begin = derived_instant(local, zone)
    back = begin.astimezone(zone_named(zone)).replace(tzinfo=None, fold=0)
    if back != local:
        assert back > local
        with pytest.raises(Rejected, match="does not exist"):
            entered_instant(local, zone, fold=Fold.EARLIER)
        return
    for fold in Fold:
        found = entered_instant(local, zone, fold=fold)
        assert found.tzinfo is UTC
        assert found.astimezone(zone_named(zone)).replace(tzinfo=None, fold=0) == local
        assert found >= begin
