"""The demo's clients: forty, varied, and none of their people or rooms in two places. Pure."""

from __future__ import annotations

from datetime import date, time, timedelta
from itertools import combinations
from typing import Any

import pytest

from practice.demo.act_registering import DETAILS
from practice.demo.clients import COURSES, WEEKS, Course, dated
from practice.demo.people import EVALUATORS, PRACTITIONERS, ROOMS
from practice.demo.recovery import dated_course
from practice.demo.recovery_content import note, personal_details

TODAY = date(2026, 3, 9)


def details(course: Course) -> dict[str, Any]:
    return personal_details(dated_course(course, TODAY), COURSES.index(course), "place")


def test_forty_clients_none_of_them_twice() -> None:
    assert len(COURSES) == 40
    assert len({(one.given_name, one.family_name) for one in COURSES}) == 40
    phones = [phone["number"] for one in COURSES for phone in details(one)["phones"]]
    assert len(phones) == len(set(phones))
    assert DETAILS["phone"] not in phones


def test_nobody_and_no_room_is_in_two_places() -> None:
    for one, other in combinations(COURSES, 2):
        at_once = one.weekday == other.weekday and (
            one.hour < other.hour + other.minutes / 60 and other.hour < one.hour + one.minutes / 60
        )
        if at_once:
            assert one.practitioner != other.practitioner, (one, other)
            assert (one.facility, one.room) != (other.facility, other.room) or not one.room


@pytest.mark.parametrize("course", COURSES, ids=lambda one: one.family_name)
def test_each_comes_when_and_where_the_practitioner_works(course: Course) -> None:
    starts, ends, days = PRACTITIONERS[course.practitioner]["works"][course.facility]
    assert course.weekday + 1 in days
    assert time.fromisoformat(starts) <= time(course.hour)
    last = course.hour * 60 + course.minutes
    assert last <= time.fromisoformat(ends).hour * 60
    assert not course.room or (course.facility, course.room) in ROOMS
    assert course.facility in EVALUATORS


def test_the_first_hour_of_the_day_is_free_for_the_story() -> None:
    """The story books the first hour of a day of Ines and would find it taken."""
    assert min(one.hour for one in COURSES if one.facility == "harbor") > 8


def test_both_places_have_clients_and_practitioners_of_their_own() -> None:
    for place in ("harbor", "mill"):
        there = {one.practitioner for one in COURSES if one.facility == place}
        alone = {who for who in there if set(PRACTITIONERS[who]["works"]) == {place}}
        assert len(alone) >= 2
        assert sum(one.facility == place for one in COURSES) >= 15


def test_what_a_desk_meets_is_among_them() -> None:
    shown = {one.family_name: details(one) for one in COURSES}
    assert any(not one["given_name"] for one in shown.values())
    assert any(" " in name for name in shown)
    assert any(not name.isascii() for name in shown)
    assert any(len(one["phones"]) > 2 for one in shown.values())
    assert sum(one.get("interpreter_needed", False) for one in shown.values()) >= 2
    (minor,) = (one for one in shown.values() if "guardian" in one)
    assert TODAY - date.fromisoformat(minor["birth_date"]) < timedelta(days=16 * 365)
    assert date.fromisoformat(minor["guardian"]["until"]) > TODAY
    reasons = {time["reason"] for one in shown.values() for time in one.get("unsuitable_times", [])}
    assert {"chemotherapy", "school"} <= reasons


def test_what_happens_to_clients_happens_to_some_of_them() -> None:
    papers = [one.paper for one in COURSES if one.paper]
    assert sum(one.answered is None for one in papers) >= 2
    assert any(one.answered for one in papers)
    assert sum(one.waiting is not None for one in COURSES) >= 3
    assert any(one.missed for one in COURSES)
    assert any(one.cancelled for one in COURSES)
    assert any(one.unsigned for one in COURSES)
    assert {"guardian", "interpreter", "spoken", "declined", "withdrawn", "none", "paper"} == {
        one.consent for one in COURSES
    }
    assert max(one.ahead for one in COURSES) == 6, "six weeks ahead"
    early = [one for one in COURSES if one.start + one.gain * one.last_week >= 180]
    assert any(one.last_week < WEEKS / 4 for one in early), "a re-check is due by now"
    assert any(one.recheck for one in early)


def test_a_day_is_counted_from_the_day_on_which_the_demo_is_made() -> None:
    told = {"one": "day-2", "more": [{"other": "day+3"}], "word": "days"}
    shown = {"one": "2026-03-07", "more": [{"other": "2026-03-12"}], "word": "days"}
    assert dated(told, TODAY) == shown


@pytest.mark.parametrize("course", COURSES, ids=lambda one: one.family_name)
def test_a_note_has_the_minutes_that_were_booked(course: Course) -> None:
    for week in (course.first_week, course.first_week + 1, course.first_week + WEEKS):
        written = note(course, week, ["abduction_pattern"])
        parts = written["minutes"]
        assert sum(parts.values()) + written["not_counted_minutes"] == course.minutes
        assert min(parts.values()) >= 0
