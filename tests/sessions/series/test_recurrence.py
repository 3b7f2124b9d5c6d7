"""The times of a series by RFC 5545, on the clock of a place, within the practice's bounds."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.reasons import Rejected
from sessions.series.domain.recurrence import occurrences
from sessions.series.domain.settings import SeriesSettings

SETTINGS = SeriesSettings(most_occurrences=104, most_days=366, most_freed_times=4)
ZONE = "America/New_York"
TUESDAY = datetime(2026, 3, 17, 9, 30)


def local(rule: str, first: datetime = TUESDAY, zone: str = ZONE) -> list[str]:
    """The starts on the clock of the place."""
    found = occurrences(rule, first, zone, SETTINGS)
    return [f"{one.astimezone(ZoneInfo(zone)):%m-%d %H:%M %z}" for one in found]


@pytest.mark.parametrize(
    ("rule", "days"),
    [
        ("FREQ=WEEKLY;BYDAY=TU,TH;COUNT=4", ["17", "19", "24", "26"]),
        ("RRULE:FREQ=WEEKLY;BYDAY=TU,TH;COUNT=3", ["17", "19", "24"]),
        ("FREQ=WEEKLY;COUNT=2", ["17", "24"]),
        ("FREQ=WEEKLY;INTERVAL=2;BYDAY=TU;UNTIL=20260331", ["17", "31"]),
        # A day is meant whole; a time in UTC is one of the clock there.
        ("FREQ=DAILY;UNTIL=20260319", ["17", "18", "19"]),
        ("FREQ=DAILY;UNTIL=20260319T133000Z", ["17", "18", "19"]),
        ("FREQ=DAILY;UNTIL=20260319T132959Z", ["17", "18"]),
        ("FREQ=DAILY;UNTIL=20260319T093000", ["17", "18", "19"]),
        # The rule counts from the first start; a start that does not fit it is none of its times.
        ("FREQ=WEEKLY;BYDAY=TH;COUNT=2", ["19", "26"]),
        ("freq=weekly;byday=tu;count=1", ["17"]),
    ],
)
def test_a_rule_gives_the_days_that_the_standard_gives(rule: str, days: list[str]) -> None:
    assert [one[3:5] for one in local(rule)] == days


def test_a_month_counts_its_weekdays() -> None:
    assert [one[:5] for one in local("FREQ=MONTHLY;BYDAY=1MO;COUNT=2")] == ["04-06", "05-04"]


def test_half_past_nine_stays_half_past_nine_over_both_clock_changes() -> None:
    """Ruling 19: a series repeats a time of the clock."""
    spring = local("FREQ=WEEKLY;COUNT=2", datetime(2026, 3, 5, 9, 30))
    assert spring == ["03-05 09:30 -0500", "03-12 09:30 -0400"]
    autumn = local("FREQ=WEEKLY;COUNT=2", datetime(2026, 10, 29, 9, 30))
    assert autumn == ["10-29 09:30 -0400", "11-05 09:30 -0500"]


def test_an_occurrence_in_the_gap_goes_forward_and_one_in_the_fold_takes_the_first() -> None:
    """Ruling 19."""
    gap = local("FREQ=DAILY;COUNT=3", datetime(2026, 3, 7, 2, 30))
    assert gap == ["03-07 02:30 -0500", "03-08 03:30 -0400", "03-09 02:30 -0400"]
    fold = local("FREQ=DAILY;COUNT=3", datetime(2026, 10, 31, 1, 30))
    assert fold == ["10-31 01:30 -0400", "11-01 01:30 -0400", "11-02 01:30 -0500"]


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        ("FREQ=WEEKLY;BYDAY=TU", "either COUNT or UNTIL"),
        ("FREQ=WEEKLY;COUNT=2;UNTIL=20260401", "either COUNT or UNTIL"),
        ("FREQ=HOURLY;COUNT=2", "FREQ is one of"),
        ("BYDAY=TU;COUNT=2", "FREQ is one of"),
        ("FREQ=WEEKLY;BYHOUR=9;COUNT=2", "no part of such a rule"),
        ("FREQ=WEEKLY;;COUNT=2", "no part of such a rule"),
        ("FREQ=WEEKLY;BYDAY=;COUNT=2", "no part of such a rule"),
        ("FREQ=WEEKLY;COUNT=2;COUNT=3", "stands twice"),
        ("FREQ=WEEKLY;COUNT=0", "from 1 on"),
        ("FREQ=WEEKLY;INTERVAL=0;COUNT=2", "from 1 on"),
        ("FREQ=WEEKLY;COUNT=two", "from 1 on"),
        ("FREQ=WEEKLY;BYDAY=XX;COUNT=2", "no rule of recurrence"),
        ("FREQ=WEEKLY;BYDAY=1TU;COUNT=2", "Only a MONTHLY rule"),
        ("FREQ=WEEKLY;UNTIL=2026-04-30", "UNTIL is a day"),
        ("FREQ=WEEKLY;UNTIL=20260431", "UNTIL is a day"),
        ("FREQ=WEEKLY;UNTIL=00010101T000000Z", "UNTIL is a day"),
        ("FREQ=WEEKLY;UNTIL=20260301", "No day fits"),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31;COUNT=2", "No day fits"),
        ("every Tuesday", "no part of such a rule"),
        ("RRULE:FREQ=WEEKLY;COUNT=2\nRRULE:FREQ=DAILY;COUNT=2", "stands twice"),
    ],
)
def test_a_rule_that_does_not_end_or_cannot_be_read_is_refused_with_what_is_wrong(
    rule: str, says: str
) -> None:
    with pytest.raises(Rejected) as found:
        occurrences(rule, TUESDAY, ZONE, SETTINGS)
    assert found.value.status == 400
    assert says in found.value.fields["recurrence"]


@pytest.mark.parametrize(
    ("good", "bad", "says"),
    [
        ("FREQ=DAILY;COUNT=104", "FREQ=DAILY;COUNT=105", "at most 104 sessions"),
        ("FREQ=DAILY;UNTIL=20260628", "FREQ=DAILY;UNTIL=20260629", "at most 104 sessions"),
        ("FREQ=WEEKLY;COUNT=53", "FREQ=WEEKLY;COUNT=54", "within 366 days"),
        ("FREQ=WEEKLY;UNTIL=20270317", "FREQ=WEEKLY;UNTIL=20270318", "within 366 days"),
    ],
)
def test_a_series_has_at_most_104_sessions_within_366_days(good: str, bad: str, says: str) -> None:
    assert occurrences(good, TUESDAY, ZONE, SETTINGS)
    with pytest.raises(Rejected) as found:
        occurrences(bad, TUESDAY, ZONE, SETTINGS)
    assert says in found.value.fields["recurrence"]


PART = st.sampled_from(
    [
        "FREQ=WEEKLY",
        "FREQ=MONTHLY",
        "FREQ=DAILY",
        "COUNT=3",
        "COUNT=9999",
        "UNTIL=20260601",
        "INTERVAL=9999",
        "INTERVAL=2",
        "BYDAY=MO,XX",
        "BYDAY=-1FR",
        "BYDAY=99FR",
        "BYMONTHDAY=0",
        "BYMONTHDAY=-31,99",
        "BYMONTH=13",
        "BYMONTH=2",
        "BYSETPOS=1",
        "BYSETPOS=400",
        "WKST=SU",
        "WKST=1",
    ]
)


@given(st.lists(PART | st.text(max_size=8), min_size=1, max_size=6).map(";".join))
def test_whatever_is_sent_as_a_rule_is_a_series_within_bounds_or_is_refused(rule: str) -> None:
    try:
        found = occurrences(rule, TUESDAY, ZONE, SETTINGS)
    except Rejected as refused:
        if refused.status != 400:
            raise
        return
    assert 1 <= len(found) <= SETTINGS.most_occurrences
    assert found == sorted(set(found))
    assert found[-1] - found[0] <= timedelta(days=SETTINGS.most_days)
