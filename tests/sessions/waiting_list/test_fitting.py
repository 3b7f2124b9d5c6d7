"""Whom a free time suits: each wish at its bound, on both sides. Pure."""

from __future__ import annotations

from datetime import date, datetime
from types import SimpleNamespace
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from sessions.booking.domain.free_time import FreeTime
from sessions.calendar.domain.held_time import NO_BUFFERS
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import SessionKind
from sessions.waiting_list.domain.fitting import known_there, may_be_in_a_class, suits

ZONE = "America/New_York"
EAST, WEST = UUID(int=1), UUID(int=2)
TUESDAY = datetime(2026, 3, 17, 10, 0, tzinfo=ZoneInfo(ZONE))


def free(starts_at: datetime, at: UUID = EAST, class_id: UUID | None = None) -> FreeTime:
    return FreeTime(UUID(int=9), at, None, starts_at, 60, class_id)


def wanted(**wishes: Any) -> Any:
    anything = {
        "minutes": 60,
        "facility_ids": [],
        "weekdays": [],
        "earliest": None,
        "latest": None,
        "first_day": None,
        "last_day": None,
    }
    return SimpleNamespace(**{**anything, **wishes})


def kind(hands_on: bool) -> SessionKind:
    return SessionKind(
        id=UUID(int=5),
        name="Strength",
        purpose=SessionPurpose.TREATMENT,
        default_minutes=60,
        lengths=(60,),
        buffers=NO_BUFFERS,
        hands_on=hands_on,
        private_room=False,
    )


@pytest.mark.parametrize(
    ("wishes", "fits"),
    [
        ({}, True),
        ({"minutes": 61}, False),
        ({"minutes": 45}, True),
        ({"weekdays": [2, 4]}, True),
        ({"weekdays": [1, 3]}, False),
        ({"facility_ids": [str(EAST)]}, True),
        ({"facility_ids": [str(WEST)]}, False),
        ({"earliest": 10 * 60}, True),
        ({"earliest": 10 * 60 + 1}, False),
        ({"latest": 11 * 60}, True),
        ({"latest": 11 * 60 - 1}, False),
        ({"first_day": date(2026, 3, 17)}, True),
        ({"first_day": date(2026, 3, 18)}, False),
        ({"last_day": date(2026, 3, 17)}, True),
        ({"last_day": date(2026, 3, 16)}, False),
    ],
)
def test_a_free_time_suits_who_can_come_then(wishes: dict[str, Any], fits: bool) -> None:
    assert suits(wanted(**wishes), free(TUESDAY, EAST), ZONE) is fits


def test_the_clock_is_that_of_the_place_of_the_free_time() -> None:
    """Ten in New York is seven in Los Angeles."""
    morning = wanted(earliest=9 * 60)
    assert suits(morning, free(TUESDAY, EAST), ZONE)
    assert not suits(morning, free(TUESDAY, WEST), "America/Los_Angeles")


def test_a_session_over_midnight_is_not_over_by_a_time_of_the_evening() -> None:
    late = TUESDAY.replace(hour=23, minute=30)
    assert not suits(wanted(latest=23 * 60 + 45), free(late, EAST), ZONE)
    assert suits(wanted(), free(late, EAST), ZONE)


def test_the_hour_that_the_clocks_leave_out_is_not_in_the_way() -> None:
    """A session over the change ends on the clock an hour later than its length says."""
    night = datetime(2026, 3, 8, 1, 30, tzinfo=ZoneInfo(ZONE))
    assert suits(wanted(latest=3 * 60 + 30), free(night, EAST), ZONE)
    assert not suits(wanted(latest=3 * 60), free(night, EAST), ZONE)


def test_who_named_no_place_is_asked_where_they_are_known() -> None:
    assert known_there(wanted(), EAST, [str(EAST)])
    assert not known_there(wanted(), EAST, [str(WEST)])
    assert known_there(wanted(facility_ids=[str(EAST)]), EAST, [str(WEST)])


def test_a_place_in_a_class_is_taken_for_the_whole_of_it() -> None:
    """Who waits for half an hour until half past ten has no use for a class until eleven."""
    short = wanted(minutes=30, latest=10 * 60 + 30)
    assert suits(short, free(TUESDAY), ZONE)
    assert not suits(short, free(TUESDAY, class_id=UUID(int=7)), ZONE)
    assert suits(wanted(minutes=30, latest=11 * 60), free(TUESDAY, class_id=UUID(int=7)), ZONE)


@pytest.mark.parametrize(
    ("purpose", "hands_on", "may"),
    [
        (SessionPurpose.TREATMENT, None, True),
        (SessionPurpose.TREATMENT, False, True),
        (SessionPurpose.TREATMENT, True, False),
        (SessionPurpose.EVALUATION, None, False),
        (SessionPurpose.RECHECK, None, False),
    ],
)
def test_only_a_treatment_that_is_not_by_hand_can_be_had_in_a_class(
    purpose: SessionPurpose, hands_on: bool | None, may: bool
) -> None:
    assert may_be_in_a_class(purpose, None if hands_on is None else kind(hands_on)) is may
