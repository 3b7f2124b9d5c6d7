"""What billing says to a booking: warnings only, with what is booked already counted."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from billing.authorizations.domain.advisories import (
    AdvisoryFacts,
    BillingSettings,
    RemainingBalance,
    advise_booking,
    running_out_reasons,
)
from billing.authorizations.domain.decisions import end_authorization
from billing.self_pay.domain.decisions import StateSelfPay, state_self_pay
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import States
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Mode
from sessions.booking.domain.commands import Slot
from sessions.calendar.domain.events import SessionBooked, SessionCancelled
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import CancelledBy, PermissionsSnapshot
from tests.billing.streams import DAY, STRETCHING, Stream, named

SETTINGS = BillingSettings(
    running_out_visits=2,
    running_out_units=8,
    running_out_minutes=120,
    expiring_days=14,
    recalculated_visits=500,
    threshold_warning_percent=80,
)


def slot_on(day: date) -> dict[str, Any]:
    start = datetime(day.year, day.month, day.day, 15, tzinfo=UTC)
    return {
        "practitioner_id": named("practitioner"),
        "credential": Credential.PHYSICAL_THERAPIST,
        "facility_id": named("facility"),
        "room_id": None,
        "starts_at": start,
        "ends_at": start + timedelta(hours=1),
        "zone": "America/New_York",
    }


def book(stream: Stream, day: date, name: str) -> None:
    permissions = PermissionsSnapshot(mode=Mode.HANDS_ON)
    stream.add(
        SessionBooked(
            session_id=named(name),
            **slot_on(day),
            local_date=day,
            planned_mode=Mode.HANDS_ON,
            permissions=permissions,
        )
    )


def states_of(stream: Stream) -> States:
    builder = CALENDAR.initial()
    for one in stream.events:
        CALENDAR.apply(builder, one)
    stated = SELF_PAY.initial()
    for one in stream.events:
        SELF_PAY.apply(stated, one)
    return States(
        {
            "authorization_balance": stream.authorization_balance,
            "calendar": CALENDAR.freeze(builder),
            "self_pay": SELF_PAY.freeze(stated),
        }
    )


def warnings(
    stream: Stream, day: date, moved: str = "new", *, has_payers: bool = True
) -> dict[str, str]:
    facts: Any = SimpleNamespace(session_id=named(moved), slot=Slot(**slot_on(day)))
    known = AdvisoryFacts(SETTINGS, has_payers)
    found = advise_booking(facts, states_of(stream), known, stream.context)
    return {one.code: one.text for one in found}


def state(stream: Stream, day: date, *, self_paying: bool = True) -> None:
    """The client says that they pay for themself from a day on, or not any more."""
    command = StateSelfPay(starts_on=day, reason="said so", self_paying=self_paying)
    stream.add(*state_self_pay(states_of(stream)[SELF_PAY], command, stream.context))


def test_a_client_without_any_authorization_is_warned_about_where_payers_are() -> None:
    assert list(warnings(Stream(), DAY)) == ["no_authorization"]
    assert warnings(Stream(), DAY, has_payers=False) == {}


def test_self_payers_are_not_warned_about_on_the_days_for_which_they_said_so() -> None:
    stream = Stream()
    state(stream, DAY)
    state(stream, DAY + timedelta(days=7), self_paying=False)
    days = (DAY - timedelta(days=1), DAY, DAY + timedelta(days=6), DAY + timedelta(days=7))
    found = [list(warnings(stream, day)) for day in days]
    assert found == [["no_authorization"], [], [], ["no_authorization"]]
    stream.authorize(starts_on=date(2026, 5, 1))
    assert warnings(stream, DAY) == {}
    assert list(warnings(stream, DAY + timedelta(days=7))) == ["authorization_outside_period"]


@pytest.mark.parametrize("self_paying", [True, False])
def test_what_was_stated_already_is_refused_and_said(*, self_paying: bool) -> None:
    stream = Stream()
    if self_paying:
        state(stream, DAY)
    for day in (DAY, DAY + timedelta(days=1)):
        with pytest.raises(Rejected, match="already") as refusal:
            state(stream, day, self_paying=self_paying)
        assert refusal.value.code == "already_stated"


def test_with_enough_left_there_is_nothing_to_say() -> None:
    stream = Stream()
    stream.authorize()
    assert warnings(stream, DAY) == {}


def test_a_day_that_no_authorization_covers_is_named_with_the_periods_on_record() -> None:
    stream = Stream()
    stream.authorize()
    found = warnings(stream, date(2026, 6, 1))
    assert list(found) == ["authorization_outside_period"]
    assert "A-1: 2026-03-01 to 2026-05-31" in found["authorization_outside_period"]


def test_an_ended_authorization_does_not_cover_the_days_after_its_end() -> None:
    stream = Stream()
    authorization = stream.authorize()
    stream.add(
        *end_authorization(stream.authorization_balance, authorization, DAY, "change of payer")
    )
    assert "authorization_outside_period" in warnings(stream, DAY + timedelta(days=1))


def test_what_is_booked_already_counts_towards_what_is_left() -> None:
    stream = Stream()
    stream.authorize(visits=5)
    stream.sign({STRETCHING: 30})
    book(stream, DAY + timedelta(days=2), "wednesday")
    found = warnings(stream, DAY + timedelta(days=4))
    assert "2 booked days" in found["authorization_running_out"]
    assert "2 of 5 visits left" in found["authorization_running_out"]


def test_two_sessions_of_a_day_count_as_one_and_a_drawn_day_not_again() -> None:
    stream = Stream()
    stream.authorize(visits=4)
    stream.sign({STRETCHING: 30})
    book(stream, DAY, "evening of the drawn day")
    book(stream, DAY + timedelta(days=2), "wednesday")
    found = warnings(stream, DAY + timedelta(days=2))
    assert "After 1 booked day," in found["authorization_running_out"]
    assert "2 of 4 visits left" in found["authorization_running_out"]


def test_cancelled_sessions_and_the_one_that_is_moved_do_not_count() -> None:
    stream = Stream()
    stream.authorize(visits=4)
    book(stream, DAY, "cancelled")
    stream.add(
        SessionCancelled(
            session_id=named("cancelled"), by=CancelledBy.CLIENT, reason="ill", notice_minutes=9
        )
    )
    book(stream, DAY + timedelta(days=2), "moved")
    assert warnings(stream, DAY + timedelta(days=4), moved="moved") == {}


def test_more_booked_days_than_visits_left() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    book(stream, DAY, "monday")
    found = warnings(stream, DAY + timedelta(days=2))
    assert "has 1 visit left for 2 booked days" in found["authorization_used_up"]


def test_no_units_left() -> None:
    stream = Stream()
    stream.authorize(units=2)
    stream.sign({STRETCHING: 30})
    assert "authorization_no_units_left" in warnings(stream, DAY + timedelta(days=2))


def test_an_authorization_that_ends_soon_after_the_day() -> None:
    stream = Stream()
    stream.authorize()
    assert "authorization_expiring" not in warnings(stream, date(2026, 5, 16))
    assert "2026-05-31" in warnings(stream, date(2026, 5, 17))["authorization_expiring"]


def test_the_next_authorization_is_asked_where_the_first_is_used_up() -> None:
    stream = Stream()
    stream.authorize("first", visits=1, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    stream.sign({STRETCHING: 30})
    assert warnings(stream, DAY + timedelta(days=1)) == {}


def rest(**changes: Any) -> RemainingBalance:
    standard = {"number": "A-1", "starts_on": DAY, "last_day": DAY + timedelta(days=60)}
    left: dict[str, Any] = {"visits": 3, "units": 9, "minutes": 121}
    return RemainingBalance(**{**standard, **left, **changes})


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({}, []),
        ({"visits": None, "units": None, "minutes": None}, []),
        ({"visits": 2}, ["visits"]),
        ({"units": 8}, ["units"]),
        ({"minutes": 120}, ["minutes"]),
        ({"visits": -1, "units": 0}, ["visits", "units"]),
        ({"last_day": DAY + timedelta(days=14)}, ["days"]),
        ({"last_day": DAY + timedelta(days=15)}, []),
        ({"last_day": DAY - timedelta(days=1), "visits": 0}, []),
        ({"starts_on": DAY + timedelta(days=1), "visits": 0}, []),
    ],
)
def test_why_an_authorization_runs_out_follows_from_the_settings(
    changes: dict[str, Any], codes: list[str]
) -> None:
    found = running_out_reasons(rest(**changes), DAY, SETTINGS)
    assert [one.code for one in found] == codes
    assert all(one.text.endswith(".") for one in found)
