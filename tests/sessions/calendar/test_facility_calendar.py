"""The one facility calendar: hours, usual days, closed days, clock changes; and its reader."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.facilities import OpeningHours
from practice.policy.models import PracticeSetting
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours
from sessions.calendar.selectors.facilities import facility_calendar
from tests.builders import Built, build_practice, ok

ZONE = "America/New_York"
PAULA, OLGA = UUID(int=1), UUID(int=2)
MONDAY, TUESDAY, SATURDAY = date(2026, 3, 2), date(2026, 3, 3), date(2026, 3, 7)
MORNING = WeeklyHours(1, time(9), time(12))
USUAL = FacilityCalendar(zone=ZONE, usual_weekdays=frozenset(range(1, 6)))
MONDAYS = FacilityCalendar(
    zone=ZONE,
    usual_weekdays=frozenset(range(1, 6)),
    opening_hours=(MORNING,),
    working_hours={PAULA: (MORNING,)},
)


def at(calendar: FacilityCalendar, day: date, begin: str, end: str) -> tuple[datetime, datetime]:
    first, last = time.fromisoformat(begin), time.fromisoformat(end)
    return calendar.instant(day, first), calendar.instant(day, last)


def test_without_hours_on_record_the_usual_weekdays_are_open_and_no_hour_is_closed() -> None:
    assert [USUAL.is_open_on(day) for day in (MONDAY, SATURDAY)] == [True, False]
    assert USUAL.is_open(*at(USUAL, SATURDAY, "23:00", "23:30"))


def test_hours_on_record_say_alone_on_which_days_it_is_open() -> None:
    assert [MONDAYS.is_open_on(day) for day in (MONDAY, TUESDAY)] == [True, False]
    assert MONDAYS.open_day_from(TUESDAY) == date(2026, 3, 9)


@pytest.mark.parametrize(
    ("begin", "end", "inside"),
    [("09:00", "12:00", True), ("08:59", "10:00", False), ("11:30", "12:01", False)],
)
def test_a_time_must_lie_within_one_span(begin: str, end: str, inside: bool) -> None:
    span = at(MONDAYS, MONDAY, begin, end)
    assert MONDAYS.within_opening_hours(*span) is MONDAYS.works(PAULA, *span) is inside
    assert not MONDAYS.works(OLGA, *span)


def test_a_time_over_two_spans_or_two_days_is_in_neither() -> None:
    two = FacilityCalendar(
        zone=ZONE,
        opening_hours=(MORNING, WeeklyHours(1, time(13), time(23, 59))),
    )
    assert not two.within_opening_hours(*at(two, MONDAY, "11:00", "14:00"))
    begin, _ = at(two, MONDAY, "23:30", "23:59")
    assert not two.within_opening_hours(begin, begin + timedelta(hours=10))


def test_a_closed_day_closes_whatever_the_hours_say() -> None:
    closed = FacilityCalendar(zone=ZONE, opening_hours=(MORNING,), closed_days=frozenset({MONDAY}))
    assert not closed.is_open_on(MONDAY)
    assert not closed.is_open(*at(closed, MONDAY, "09:00", "10:00"))
    assert closed.within_opening_hours(*at(closed, MONDAY, "09:00", "10:00"))
    assert closed.open_day_from(MONDAY) == date(2026, 3, 9)


def test_a_day_is_told_by_the_facilitys_own_clock() -> None:
    late = FacilityCalendar(zone=ZONE, closed_days=frozenset({MONDAY}))
    # 02:00 in London on Tuesday is 21:00 on Monday in New York.
    begin = datetime(2026, 3, 3, 2, tzinfo=UTC)
    assert not late.is_open(begin, begin + timedelta(minutes=30))


def test_a_practitioner_works_on_the_weekdays_of_their_hours_here() -> None:
    assert MONDAYS.works_on(PAULA, MONDAY)
    assert not MONDAYS.works_on(PAULA, TUESDAY)
    assert not MONDAYS.works_on(OLGA, MONDAY)


def test_the_hour_that_comes_twice_lies_within_hours_both_times() -> None:
    """Clocks go back at 02:00 on 1 November 2026 in New York (IANA time zone database)."""
    night = FacilityCalendar(zone=ZONE, opening_hours=(WeeklyHours(7, time(0), time(3)),))
    first = datetime(2026, 11, 1, 5, 30, tzinfo=UTC)
    again = first + timedelta(hours=1)
    assert night.is_open(first, first + timedelta(minutes=30))
    assert night.is_open(again, again + timedelta(minutes=30))


@pytest.fixture
def built(db: None) -> Built:
    return build_practice()


def test_the_selector_reads_the_hours_of_the_facility_and_of_those_named(built: Built) -> None:
    one = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    found = facility_calendar(built.east.pk, built.east.zone, (one,))
    assert set(found.working_hours) == {one}
    rows = OpeningHours.objects.filter(facility=built.east)
    assert len(found.opening_hours) == rows.count() > 0
    assert facility_calendar(built.east.pk, built.east.zone).working_hours == {}
    assert facility_calendar(None, built.east.zone).opening_hours == ()


def test_a_closed_day_of_the_practice_is_set_in_the_group_calendar(built: Built) -> None:
    day = clock.now().date() + timedelta(days=3)
    row = PracticeSetting.objects.get(group="calendar", key="closed_days")
    body = {"value": [day.isoformat()], "citation": "the practice's holidays"}
    ok(built.api(Role.OWNER).patch(f"settings/{row.pk}", body, match=row.revision))
    assert facility_calendar(built.east.pk, built.east.zone).closed_days == {day}
    assert not PracticeSetting.objects.filter(
        group="rechecks", key__in=("closed_days", "open_weekdays")
    )


def test_hours_are_read_in_one_place_only() -> None:
    root = Path(__file__).parents[3] / "sessions"
    reads = re.compile(r"\b(OpeningHours|WorkingHours|opening_hours\.|working_hours\.all)")
    found = {
        p.relative_to(root).as_posix() for p in root.rglob("*.py") if reads.search(p.read_text())
    }
    assert found == {"calendar/selectors/facilities.py"}
