"""Open times as a pure function: hours, rooms, held times, clock changes."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.localtime import minute_of
from practice.core.spans import Span, common
from sessions.booking.domain.open_times import (
    FacilityTimes,
    OpenSlot,
    OpenTimesRequest,
    TakenTimes,
    find_open_slots,
)
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours

ZONE = "America/New_York"
HERE = ZoneInfo(ZONE)
PAULA, OLGA = UUID(int=1), UUID(int=2)
RED, BLUE = UUID(int=11), UUID(int=12)
MONDAY = date(2026, 3, 2)
NINE_TO_NOON = WeeklyHours(1, time(9), time(12))


def asked(**changes: Any) -> OpenTimesRequest:
    values: dict[str, Any] = {
        "first_day": MONDAY,
        "last_day": MONDAY,
        "length": 60,
        "step": 30,
        "not_before": datetime(2026, 1, 1, tzinfo=UTC),
    }
    return OpenTimesRequest(**{**values, **changes})


def taken(**changes: Any) -> TakenTimes:
    values: dict[str, Any] = {"practitioners": {}, "client": (), "rooms": None}
    return TakenTimes(**{**values, **changes})


def span(begin: str, end: str, day: date = MONDAY) -> Span:
    return minute_of(_instant(begin, day)), minute_of(_instant(end, day))


def _instant(text: str, day: date) -> datetime:
    return datetime.combine(day, time.fromisoformat(text), tzinfo=HERE).astimezone(UTC)


def starts(found: Any) -> list[str]:
    return [one.begin.astimezone(HERE).strftime("%H:%M") for one in found]


def find(
    question: OpenTimesRequest | None = None,
    held: TakenTimes | None = None,
    hours: Any = None,
    facility: tuple[WeeklyHours, ...] = (),
) -> list[OpenSlot]:
    working = hours or {PAULA: [NINE_TO_NOON]}
    calendar = FacilityCalendar(zone=ZONE, opening_hours=facility, working_hours=working)
    return list(find_open_slots(question or asked(), calendar, held or taken()))


def test_starts_lie_within_working_hours_on_the_step() -> None:
    assert starts(find()) == ["09:00", "09:30", "10:00", "10:30", "11:00"]


def test_held_times_of_practitioner_and_client_are_not_offered() -> None:
    busy = taken(practitioners={PAULA: [span("09:00", "10:00")]}, client=[span("11:30", "12:30")])
    assert starts(find(held=busy)) == ["10:00", "10:30"]


def test_a_session_may_begin_when_the_one_before_ends() -> None:
    busy = taken(practitioners={PAULA: [span("09:00", "10:00"), span("11:00", "12:00")]})
    assert starts(find(held=busy)) == ["10:00"]


def test_a_free_room_is_offered_and_none_where_all_are_taken() -> None:
    rooms = {RED: [span("09:00", "10:30")], BLUE: [span("10:00", "12:00")]}
    found = find(held=taken(rooms=rooms))
    assert [(start, one.room_id) for start, one in zip(starts(found), found, strict=True)] == [
        ("09:00", BLUE),
        ("10:30", RED),
        ("11:00", RED),
    ]


def test_the_facilitys_hours_narrow_the_practitioners() -> None:
    assert starts(find(facility=(WeeklyHours(1, time(10), time(11)),))) == ["10:00"]
    assert starts(find(facility=(WeeklyHours(2, time(7), time(20)),))) == []


def test_times_that_have_passed_are_not_offered() -> None:
    assert starts(find(asked(not_before=_instant("10:15", MONDAY)))) == ["10:30", "11:00"]


def test_offers_come_in_order_of_time_then_practitioner() -> None:
    hours = {OLGA: [NINE_TO_NOON], PAULA: [NINE_TO_NOON]}
    found = find(asked(length=180), hours=hours)
    assert [one.practitioner_id for one in found] == [PAULA, OLGA]


def test_a_weekday_without_hours_has_no_offers() -> None:
    tuesday = MONDAY + timedelta(days=1)
    assert starts(find(asked(first_day=tuesday, last_day=tuesday))) == []


def test_the_hour_that_is_left_out_in_spring_is_not_offered() -> None:
    """Clocks go forward at 02:00 on 8 March 2026 in New York (IANA time zone database)."""
    sunday = date(2026, 3, 8)
    night = {PAULA: [WeeklyHours(7, time(1), time(5))]}
    found = find(asked(first_day=sunday, last_day=sunday), hours=night)
    assert starts(found) == ["01:00", "01:30", "03:00", "03:30", "04:00"]
    assert all(one.end - one.begin == timedelta(hours=1) for one in found)


def test_the_hour_that_comes_twice_in_autumn_is_offered_once() -> None:
    """Clocks go back at 02:00 on 1 November 2026 in New York (IANA time zone database)."""
    sunday = date(2026, 11, 1)
    night = {PAULA: [WeeklyHours(7, time(0), time(3))]}
    found = find(asked(first_day=sunday, last_day=sunday), hours=night)
    assert starts(found) == ["00:00", "00:30", "01:00", "01:30", "02:00"]


@given(
    busy=st.lists(st.tuples(st.integers(0, 23 * 4), st.integers(1, 12)), max_size=8),
    minutes=st.sampled_from([15, 30, 45, 60, 90]),
)
def test_no_offer_ever_meets_a_held_time(busy: list[tuple[int, int]], minutes: int) -> None:
    midnight = minute_of(_instant("00:00", MONDAY))
    held = [(midnight + 15 * begin, midnight + 15 * (begin + length)) for begin, length in busy]
    found = find(
        asked(length=minutes, step=15),
        taken(practitioners={PAULA: held[::2]}, client=held[1::2]),
    )
    assert not any(
        common([(minute_of(one.begin), minute_of(one.end))], [other])
        for one in found
        for other in held
    )


def test_a_closed_day_has_nothing_and_says_why() -> None:
    shut = FacilityCalendar(
        zone=ZONE,
        closed_days=frozenset({MONDAY}),
        opening_hours=(NINE_TO_NOON,),
        working_hours={PAULA: [NINE_TO_NOON]},
    )
    week = asked(last_day=MONDAY + timedelta(days=7))
    assert {one.begin.date() for one in find_open_slots(week, shut, taken())} == {date(2026, 3, 9)}
    codes = [shut.why_closed(MONDAY + timedelta(days=n)) for n in (0, 1, 7)]
    assert [one and one.code for one in codes] == ["closed_day", "closed_weekday", None]


def test_only_the_weekdays_asked_for() -> None:
    hours = {PAULA: [NINE_TO_NOON, WeeklyHours(2, time(9), time(12))]}
    tuesdays = asked(last_day=MONDAY + timedelta(days=6), weekdays=frozenset({2}))
    found = find(tuesdays, hours=hours)
    assert {one.begin.date() for one in found} == {MONDAY + timedelta(days=1)}


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"earliest": time(10)}, ["10:00", "10:30", "11:00"]),
        ({"earliest": time(10, 1)}, ["10:30", "11:00"]),
        ({"latest": time(10, 30)}, ["09:00", "09:30"]),
        ({"latest": time(10, 29)}, ["09:00"]),
        ({"begins_before": time(10)}, ["09:00", "09:30"]),
        ({"begins_before": time(10, 1)}, ["09:00", "09:30", "10:00"]),
        ({"earliest": time(9, 30), "latest": time(10, 30)}, ["09:30"]),
        ({"earliest": time(12)}, []),
    ],
)
def test_the_part_of_the_day_asked_for(changes: dict[str, Any], expected: list[str]) -> None:
    assert starts(find(asked(**changes))) == expected


NIGHT = (WeeklyHours(1, time(22), time(0)), WeeklyHours(2, time(0), time(2)))


def test_a_session_over_midnight_is_of_the_day_on_which_it_begins() -> None:
    """Hours that end at 00:00 and go on at 00:00 are one night; a start at 00:00 is the next
    day's."""
    calendar = FacilityCalendar(zone=ZONE, opening_hours=NIGHT, working_hours={PAULA: NIGHT})
    found = list(find_open_slots(asked(length=90), calendar, taken()))
    assert starts(found) == ["22:00", "22:30", "23:00", "23:30"]
    assert all(calendar.works(PAULA, one.begin, one.end) for one in found)
    assert all(calendar.is_open(one.begin, one.end) for one in found)
    tuesday = MONDAY + timedelta(days=1)
    next_day = asked(first_day=tuesday, last_day=tuesday, length=90)
    assert starts(find_open_slots(next_day, calendar, taken())) == ["00:00", "00:30"]


def test_one_held_over_midnight_takes_the_first_hour_of_the_next_day() -> None:
    tuesday = MONDAY + timedelta(days=1)
    over = (minute_of(_instant("23:30", MONDAY)), minute_of(_instant("00:30", tuesday)))
    calendar = FacilityCalendar(zone=ZONE, working_hours={PAULA: NIGHT})
    of_tuesday = asked(first_day=tuesday, last_day=tuesday)
    found = find_open_slots(of_tuesday, calendar, taken(practitioners={PAULA: [over]}))
    assert starts(found) == ["00:30", "01:00"]


@pytest.mark.parametrize("zone", ["America/New_York", "Europe/Berlin", "Australia/Lord_Howe"])
@pytest.mark.parametrize("month", [3, 4, 10, 11])
def test_each_start_of_a_month_with_a_change_is_a_time_that_booking_takes(
    zone: str, month: int
) -> None:
    """Night and day: within hours by the calendar, on the step of the clock, none twice."""
    hours = [WeeklyHours(day, time(0), time(8)) for day in range(1, 8)]
    calendar = FacilityCalendar(zone=zone, opening_hours=hours, working_hours={PAULA: hours})
    request = asked(first_day=date(2026, month, 1), last_day=date(2026, month, 28), length=45)
    found = list(find_open_slots(request, calendar, taken()))
    clock = [one.begin.astimezone(ZoneInfo(zone)).replace(tzinfo=None, fold=0) for one in found]
    assert len(set(clock)) == len(clock) > 28 * 12
    for one in found:
        assert one.end - one.begin == timedelta(minutes=45)
        assert calendar.works(PAULA, one.begin, one.end)
        assert calendar.is_open(one.begin, one.end)


def test_places_of_a_day_are_its_starts_in_another_order() -> None:
    hours = {OLGA: [NINE_TO_NOON], PAULA: [NINE_TO_NOON]}
    rooms = {RED: [span("09:00", "10:30")], BLUE: [span("10:00", "12:00")]}
    calendar = FacilityCalendar(zone=ZONE, working_hours=hours)
    day = FacilityTimes(asked(), calendar, taken(rooms=rooms)).day(MONDAY)
    placed = [day.at(place) for place in range(day.count)]
    in_order = list(day.in_order())
    assert sorted(placed, key=lambda one: (one.begin, one.practitioner_id)) == in_order
    with pytest.raises(IndexError):
        day.at(day.count)
    assert {one.practitioner_id for one in day.only(lambda who: who == OLGA).in_order()} == {OLGA}
