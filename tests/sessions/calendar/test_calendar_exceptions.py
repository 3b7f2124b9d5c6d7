"""The one facility calendar with closures, holidays, absences and extra hours. Pure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from uuid import UUID

import pytest

from practice.core.localtime import day_minutes, entered_instant, minute_of
from sessions.calendar.domain.exceptions import HoursOfDay, TimeAway
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours

ZONE, WEST = "America/New_York", "America/Los_Angeles"
PAULA, MARCO = UUID(int=1), UUID(int=2)
MONDAY, TUESDAY = date(2026, 3, 16), date(2026, 3, 17)
DAY = tuple(WeeklyHours(weekday, time(8), time(18)) for weekday in range(1, 6))
OPEN = FacilityCalendar(zone=ZONE, opening_hours=DAY, working_hours={PAULA: DAY, MARCO: DAY})
NIGHT = tuple(WeeklyHours(weekday, time(0), time(0)) for weekday in range(1, 8))


def at(day: date, clock: str, zone: str = ZONE) -> datetime:
    return entered_instant(datetime.combine(day, time.fromisoformat(clock)), zone)


def whole(first: date, last: date | None = None, why: str = "Snow.") -> TimeAway:
    return TimeAway(first_day=first, last_day=last or first, why=why)


def part(begin: datetime, end: datetime) -> TimeAway:
    return TimeAway(
        first_day=begin.date(), last_day=end.date(), starts_at=begin, ends_at=end, why="A pipe."
    )


def spans(found: list[tuple[int, int]], day: date, zone: str = ZONE) -> list[tuple[int, int]]:
    """In minutes of the day."""
    begin = day_minutes(day, zone)[0]
    return [(first - begin, last - begin) for first, last in found]


def test_a_closure_of_whole_days_leaves_nothing_of_them_and_all_of_their_neighbours() -> None:
    shut = replace(OPEN, closures=(whole(TUESDAY, date(2026, 3, 18)),))
    assert shut.opening_spans(TUESDAY) == []
    assert not shut.is_open_on(TUESDAY)
    assert not shut.anyone_works_on(TUESDAY)
    assert (why := shut.why_closed(TUESDAY))
    assert (why.code, why.text) == (
        "closed_for_a_time",
        "The facility is closed from 2026-03-17 to 2026-03-18: Snow.",
    )
    for day in (MONDAY, date(2026, 3, 19)):
        assert shut.opening_spans(day) == OPEN.opening_spans(day)
        assert shut.why_closed(day) is None
        assert shut.anyone_works_on(day)
    assert shut.open_day_from(TUESDAY) == date(2026, 3, 19)


def test_a_closure_of_part_of_a_day_leaves_the_rest() -> None:
    shut = replace(OPEN, closures=(part(at(MONDAY, "12:00"), at(MONDAY, "14:00")),))
    assert spans(shut.opening_spans(MONDAY), MONDAY) == [(480, 720), (840, 1080)]
    assert shut.why_closed(MONDAY) is None
    assert shut.is_open_on(MONDAY)
    assert shut.why_shut(at(MONDAY, "11:00"), at(MONDAY, "12:00")) is None
    assert shut.why_shut(at(MONDAY, "14:00"), at(MONDAY, "15:00")) is None
    for begin, end in (("11:01", "12:01"), ("13:59", "14:59"), ("12:30", "13:00")):
        why = shut.why_shut(at(MONDAY, begin), at(MONDAY, end))
        assert why is not None
        assert why.text == "The facility is closed from 2026-03-16 12:00 to 14:00: A pipe."
        assert not shut.is_open(at(MONDAY, begin), at(MONDAY, end))


def test_an_absent_practitioner_works_not_and_colleagues_do() -> None:
    absent = replace(OPEN, absences={PAULA: (whole(MONDAY),)})
    assert absent.working_spans(PAULA, MONDAY) == []
    assert not absent.works_on(PAULA, MONDAY)
    assert absent.works_on(PAULA, TUESDAY)
    assert absent.works_on(MARCO, MONDAY)
    hour = at(MONDAY, "09:00"), at(MONDAY, "10:00")
    assert not absent.works(PAULA, *hour)
    assert absent.works(MARCO, *hour)
    assert absent.why_absent(MARCO, *hour) is None
    assert (why := absent.why_absent(PAULA, *hour))
    assert (why.code, why.text) == (
        "practitioner_absent",
        "The practitioner is absent on 2026-03-16.",
    )
    assert absent.why_absent_on(PAULA, MONDAY) == why
    assert absent.why_absent_on(PAULA, TUESDAY) is None


def test_of_an_absence_for_part_of_a_day_the_rest_is_worked() -> None:
    absent = replace(OPEN, absences={PAULA: (part(at(MONDAY, "08:00"), at(MONDAY, "12:00")),)})
    assert spans(absent.working_spans(PAULA, MONDAY), MONDAY) == [(720, 1080)]
    assert absent.works(PAULA, at(MONDAY, "12:00"), at(MONDAY, "13:00"))
    assert not absent.works(PAULA, at(MONDAY, "11:59"), at(MONDAY, "12:59"))
    assert absent.why_absent_on(PAULA, MONDAY) is None
    assert absent.works_on(PAULA, MONDAY)


def test_on_a_day_off_nobody_is_absent() -> None:
    saturday = date(2026, 3, 21)
    absent = replace(OPEN, absences={PAULA: (whole(saturday),)})
    assert absent.why_absent_on(PAULA, saturday) is None


def test_an_absence_over_midnight_takes_from_both_nights() -> None:
    """Absent from 22:00 to 06:00, at a place that never closes."""
    away = part(at(MONDAY, "22:00"), at(TUESDAY, "06:00"))
    night = FacilityCalendar(
        zone=ZONE, opening_hours=NIGHT, working_hours={PAULA: NIGHT}, absences={PAULA: (away,)}
    )
    assert night.works(PAULA, at(MONDAY, "21:00"), at(MONDAY, "22:00"))
    assert not night.works(PAULA, at(MONDAY, "21:30"), at(MONDAY, "22:30"))
    assert not night.works(PAULA, at(MONDAY, "23:30"), at(TUESDAY, "00:30"))
    assert not night.works(PAULA, at(TUESDAY, "05:30"), at(TUESDAY, "06:30"))
    assert night.works(PAULA, at(TUESDAY, "06:00"), at(TUESDAY, "07:00"))
    assert (why := night.why_absent(PAULA, at(MONDAY, "23:30"), at(TUESDAY, "00:30")))
    assert why.text == "The practitioner is absent from 2026-03-16 22:00 to 2026-03-17 06:00."


def test_a_whole_day_of_absence_meets_what_comes_over_from_the_evening_before() -> None:
    night = FacilityCalendar(
        zone=ZONE,
        opening_hours=NIGHT,
        working_hours={PAULA: NIGHT},
        absences={PAULA: (whole(TUESDAY),)},
    )
    assert night.why_absent(PAULA, at(MONDAY, "23:00"), at(TUESDAY, "00:00")) is None
    assert night.why_absent(PAULA, at(MONDAY, "23:30"), at(TUESDAY, "00:30")) is not None
    assert night.works(PAULA, at(MONDAY, "23:00"), at(TUESDAY, "00:00"))
    assert not night.works(PAULA, at(MONDAY, "23:30"), at(TUESDAY, "00:30"))


@pytest.mark.parametrize(("day", "hours"), [(date(2026, 3, 8), 23), (date(2026, 11, 1), 25)])
def test_a_whole_day_is_as_long_as_its_clock_makes_it(day: date, hours: int) -> None:
    """Both days of a clock change in New York."""
    first, last = whole(day).span(ZONE)
    assert last - first == hours * 60
    sunday = FacilityCalendar(
        zone=ZONE, opening_hours=NIGHT, working_hours={PAULA: NIGHT}, closures=(whole(day),)
    )
    assert not sunday.is_open_on(day)
    assert sunday.why_shut(at(day, "23:00"), at(day, "23:59")) is not None
    evening = date.fromordinal(day.toordinal() - 1)
    assert sunday.why_shut(at(evening, "23:00"), at(evening, "23:59")) is None


def test_both_hours_of_a_fold_are_absent_where_both_are_said() -> None:
    """From the first 01:30 to the second 01:30: an hour of the clock that stands still."""
    day = date(2026, 11, 1)
    first, second = day_minutes(day, ZONE)[0] + 90, day_minutes(day, ZONE)[0] + 150
    away = part(
        datetime.fromtimestamp(first * 60, tz=at(day, "12:00").tzinfo),
        datetime.fromtimestamp(second * 60, tz=at(day, "12:00").tzinfo),
    )
    assert away.span(ZONE) == (first, second)
    night = FacilityCalendar(
        zone=ZONE, opening_hours=NIGHT, working_hours={PAULA: NIGHT}, absences={PAULA: (away,)}
    )
    left = spans(night.working_spans(PAULA, day), day)
    assert left[0] == (0, 90)
    assert left[1][0] == 150


def test_a_whole_day_is_that_of_the_facility_that_is_asked_about() -> None:
    """Monday ends in Los Angeles three hours after it ends in New York."""
    away = whole(MONDAY)
    late = at(MONDAY, "22:30", WEST), at(MONDAY, "23:30", WEST)
    assert away.meets(*late, WEST)
    assert not away.meets(*late, ZONE)
    assert minute_of(late[0]) > away.span(ZONE)[1]


def test_extra_hours_are_worked_on_their_day_alone() -> None:
    saturday = date(2026, 3, 21)
    extra = replace(OPEN, extra_hours={PAULA: (HoursOfDay(saturday, time(9), time(12)),)})
    assert spans(extra.working_spans(PAULA, saturday), saturday) == [(540, 720)]
    assert extra.working_spans(MARCO, saturday) == []
    assert extra.working_spans(PAULA, date(2026, 3, 28)) == []
    assert not extra.anyone_works_on(saturday)  # The facility is closed on Saturdays.
    always = replace(extra, opening_hours=())
    assert always.anyone_works_on(saturday)
    assert not always.anyone_works_on(date(2026, 3, 22))


def test_extra_hours_that_touch_the_weekly_ones_are_one_span_with_them() -> None:
    extra = replace(OPEN, extra_hours={PAULA: (HoursOfDay(MONDAY, time(18), time(20)),)})
    assert spans(extra.working_spans(PAULA, MONDAY), MONDAY) == [(480, 1200)]
    assert extra.works(PAULA, at(MONDAY, "17:30"), at(MONDAY, "18:30"))
    assert not OPEN.works(PAULA, at(MONDAY, "17:30"), at(MONDAY, "18:30"))


def test_extra_hours_may_go_over_midnight_into_those_of_the_next_day() -> None:
    late = (HoursOfDay(MONDAY, time(22), time(0)), HoursOfDay(TUESDAY, time(0), time(2)))
    extra = replace(OPEN, extra_hours={PAULA: late})
    assert extra.works(PAULA, at(MONDAY, "23:30"), at(TUESDAY, "00:30"))
    assert not extra.works(PAULA, at(TUESDAY, "01:30"), at(TUESDAY, "02:30"))


def test_an_absence_takes_extra_hours_too() -> None:
    extra = replace(
        OPEN,
        extra_hours={PAULA: (HoursOfDay(MONDAY, time(18), time(20)),)},
        absences={PAULA: (whole(MONDAY),)},
    )
    assert extra.working_spans(PAULA, MONDAY) == []


def holiday(day: date) -> str | None:
    return "A holiday" if day == MONDAY else None


def test_a_public_holiday_is_named_and_worked_unless_the_practice_closes_on_it() -> None:
    """The default of the practice: a warning, not a closed day."""
    named = replace(OPEN, holiday_of=holiday)
    assert named.is_open_on(MONDAY)
    assert named.why_shut(at(MONDAY, "09:00"), at(MONDAY, "10:00")) is None
    assert (told := named.holiday_worked(MONDAY))
    assert told.text == "2026-03-16 is a public holiday: A holiday."
    assert named.holiday_worked(TUESDAY) is None


def test_where_the_practice_closes_on_public_holidays_a_facility_may_open_on_one() -> None:
    closes = replace(OPEN, holiday_of=holiday, closes_on_holidays=True)
    assert not closes.is_open_on(MONDAY)
    assert closes.opening_spans(MONDAY) == []
    assert closes.holiday_worked(MONDAY) is None
    assert (why := closes.why_shut(at(MONDAY, "09:00"), at(MONDAY, "10:00")))
    assert why.text == "The practice is closed on 2026-03-16: A holiday."
    assert closes.is_open_on(TUESDAY)
    opened = replace(closes, open_holidays=frozenset({MONDAY}))
    assert opened.is_open_on(MONDAY)
    assert opened.opening_spans(MONDAY) == OPEN.opening_spans(MONDAY)
    assert opened.holiday_worked(MONDAY) is not None
