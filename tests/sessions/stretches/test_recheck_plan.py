"""When re-checks fall: calendar months from the discharge, moved to open days."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.stretches.domain.recheck_dates import RecheckPlan, months_after
from tests import dsl
from tests.sessions.shipped import RECHECKS
from tests.sessions.stretches.examples import EVERY_DAY, WEEKDAYS, ZONE, Story, at
from tests.sessions.stretches.rechecks import DAY, SIX_MONTHS, TWELVE_MONTHS, TWO_MONTHS


def plan(calendar=EVERY_DAY, zone=ZONE):
    return RecheckPlan(RECHECKS, replace(calendar, zone=zone), dsl.ids())


def test_re_checks_fall_two_six_and_twelve_months_after_discharge():
    # Practice policy; no interval is published.
    assert [p.due_on for p in plan().first(DAY)] == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2025, 12, 31), 2, date(2026, 2, 28)),
        (date(2027, 12, 31), 2, date(2028, 2, 29)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 3, 30), 6, date(2026, 9, 30)),
    ],
)
def test_month_ends_are_clipped(day, months, expected):
    assert months_after(day, months) == expected


def test_a_clipped_month_does_not_shorten_the_next_ones():
    # 31 December + 2 months is 28 February; + 6 is 30 June, counted from the discharge itself.
    assert plan().first(date(2025, 12, 31))[1].due_on == date(2026, 6, 30)


def test_a_closed_day_moves_to_the_next_open_one():
    # 2 May 2026 is a Saturday; Monday the 4th is a holiday of this place.
    calendar = replace(WEEKDAYS, closed_days=frozenset({date(2026, 5, 4)}))
    assert plan(calendar).on(DAY, 2).due_on == date(2026, 5, 5)


def test_a_place_that_is_never_open_keeps_the_day():
    assert plan(replace(WEEKDAYS, usual_weekdays=frozenset())).on(DAY, 2).due_on == TWO_MONTHS


def test_due_is_the_begin_of_the_local_day_on_both_sides_of_a_clock_change():
    # Los Angeles: 8 March 2026 forward, 1 November 2026 back (IANA time zone database).
    winter, summer = plan().on(date(2026, 1, 5), 2), plan().on(date(2026, 1, 15), 2)
    assert winter.due_at == datetime(2026, 3, 5, 8, tzinfo=UTC)
    assert summer.due_at == datetime(2026, 3, 15, 7, tzinfo=UTC)
    assert summer.call_at == datetime(2026, 3, 1, 17, tzinfo=UTC)  # 09:00 still in winter time


def test_a_midnight_that_does_not_exist_goes_forward():
    # Beirut skips 00:00–01:00 on 29 March 2026 (IANA time zone database).
    one = plan(zone="Asia/Beirut").on(date(2026, 1, 29), 2)
    assert one.due_on == date(2026, 3, 29)
    assert one.due_at == datetime(2026, 3, 28, 22, tzinfo=UTC)


@settings(max_examples=200)
@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(1, 60))
def test_a_re_check_is_never_before_its_month_and_always_on_an_open_day(day, months):
    one = plan(WEEKDAYS).on(day, months)
    assert WEEKDAYS.is_open_on(one.due_on)
    assert 0 <= (one.due_on - months_after(day, months)).days <= 2
    assert one.call_at < one.due_at


def test_a_discharge_of_ten_weeks_ago_entered_today_has_its_first_re_check_due_already():
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30))
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY, 180, hour=17)
    now = at(DAY + timedelta(weeks=10))
    event = story.discharge(key, DAY, now=now)
    assert event.discharged_on == DAY
    assert event.planned[0].due_at < now
    assert event.planned[0].call_at < now
    assert event.planned[1].call_at > now


def test_the_discharge_day_is_the_local_one():
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30))
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY, 180, hour=3)
    # 04:00 UTC on Monday the 2nd is still Sunday the 1st in Los Angeles.
    event = story.discharge(key, DAY, hour=4)
    assert event.discharged_on == DAY - timedelta(days=1)
    assert event.planned[0].due_on == date(2026, 5, 1)
