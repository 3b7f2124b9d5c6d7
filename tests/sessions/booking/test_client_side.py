"""A slot on the client's side: times that do not suit, sessions a week, no-shows."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import msgspec
import pytest

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.domain.unsuitable import unsuitable_spans, unsuitable_texts
from practice.core.localtime import minute_of
from practice.core.reasons import readable_by
from practice.core.terms import Role
from sessions.booking.domain.client_side import ClientSide, client_warnings
from sessions.booking.domain.rhythm import ClientSession, booked_in_week, no_show_days
from tests.sessions.booking.examples import FACILITY, SETTINGS, slot

ZONE = "America/New_York"
HERE = ZoneInfo(ZONE)
TUESDAY = date(2026, 3, 10)
NOW = datetime(2026, 3, 9, 12, tzinfo=HERE)
CHEMOTHERAPY = UnsuitableTime(
    weekday=2, starts=time(8), ends=time(12), reason="chemotherapy", until=date(2026, 4, 30)
)


def at(hour: int, minute: int = 0, day: date = TUESDAY) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=HERE)


def session(day: date, status: str = "booked") -> ClientSession:
    return ClientSession(uuid4(), day, status)


def codes(
    starts: datetime, *sessions: ClientSession, now: datetime = NOW, **known: Any
) -> list[str]:
    side = ClientSide(
        **{"known_at": frozenset({FACILITY}), "zone": ZONE, **known}, sessions=sessions
    )
    return [one.code for one in client_warnings(slot(starts), side, SETTINGS, now)]


@pytest.mark.parametrize(
    ("starts", "warned"),
    [
        (at(7), []),
        (at(7, 1), ["unsuitable_time"]),
        (at(11, 59), ["unsuitable_time"]),
        (at(12), []),
        (at(9, day=TUESDAY + timedelta(days=1)), []),
    ],
)
def test_a_time_that_does_not_suit_is_warned_of(starts: datetime, warned: list[str]) -> None:
    assert codes(starts, unsuitable_times=(CHEMOTHERAPY,)) == warned


def test_the_times_are_of_the_clients_clock_not_of_the_facilitys() -> None:
    """08:00 to 12:00 in Los Angeles is 11:00 to 15:00 in New York."""
    known: dict[str, Any] = {"unsuitable_times": (CHEMOTHERAPY,), "zone": "America/Los_Angeles"}
    assert codes(at(10), **known) == []
    assert codes(at(14), **known) == ["unsuitable_time"]


def test_a_session_that_is_over_is_warned_of_the_place_alone() -> None:
    known: dict[str, Any] = {"unsuitable_times": (CHEMOTHERAPY,), "known_at": frozenset()}
    assert codes(at(9), now=at(10), **known) == ["not_known_here"]
    assert codes(at(9), now=at(9, 59), **known) == ["not_known_here", "unsuitable_time"]


@pytest.mark.parametrize(
    ("one", "text"),
    [
        (CHEMOTHERAPY, "Tuesdays 08:00 to 12:00 until 2026-04-30 (chemotherapy)"),
        (UnsuitableTime(weekday=7), "Sundays"),
        (UnsuitableTime(starts=time(14), ends=time(15, 30)), "every day 14:00 to 15:30"),
        (
            UnsuitableTime(from_date=TUESDAY, until=TUESDAY, reason="away"),
            "every day from 2026-03-10 until 2026-03-10 (away)",
        ),
    ],
)
def test_what_does_not_suit_is_said_in_words(one: UnsuitableTime, text: str) -> None:
    assert unsuitable_texts([one]) == [text]


def test_what_a_time_is_for_is_not_told_to_billing() -> None:
    """Ruling 62: billing reads no more of treatment than it needs."""
    side = ClientSide(known_at=frozenset({FACILITY}), zone=ZONE, unsuitable_times=(CHEMOTHERAPY,))
    warned = client_warnings(slot(at(9)), side, SETTINGS, NOW)
    assert "chemotherapy" in readable_by(Role.FRONT_DESK, warned)[0].text
    [told] = readable_by(Role.BILLING, warned)
    assert (told.code, told.text) == ("unsuitable_time", "It does not suit the client.")


@pytest.mark.parametrize(
    ("begin", "end", "spans"),
    [
        (at(0), at(23), [(at(8), at(12))]),
        (at(23, day=date(2026, 3, 9)), at(0, 1), [(at(8), at(12))]),
        (at(0, day=date(2026, 3, 11)), at(23, day=date(2026, 3, 11)), []),
    ],
)
def test_the_spans_of_a_day_are_those_that_a_session_would_touch(
    begin: datetime, end: datetime, spans: list[tuple[datetime, datetime]]
) -> None:
    within = minute_of(begin), minute_of(end)
    expected = [(minute_of(first), minute_of(last)) for first, last in spans]
    assert unsuitable_spans([CHEMOTHERAPY], ZONE, within) == expected


@pytest.mark.parametrize(
    ("days", "planned", "warned"),
    [
        ([], None, []),
        ([9, 11], None, []),
        ([9], 2, []),
        ([9, 11], 2, ["more_than_planned"]),
        ([9, 15], 2, ["more_than_planned"]),
        ([9, 16], 2, []),
        ([8, 9], 2, []),
    ],
)
def test_more_sessions_in_a_week_than_planned_are_warned_of(
    days: list[int], planned: int | None, warned: list[str]
) -> None:
    """A week begins on its Monday (ISO 8601): 9 March 2026 is one."""
    others = [session(date(2026, 3, day)) for day in days]
    assert codes(at(14), *others, planned_per_week=planned) == warned


@pytest.mark.parametrize(
    ("status", "counts"),
    [
        ("booked", 1),
        ("arrived", 1),
        ("completed", 1),
        ("cancelled", 0),
        ("no_show", 0),
        ("entered_in_error", 0),
    ],
)
def test_a_session_counts_for_its_week_while_the_client_comes(status: str, counts: int) -> None:
    assert booked_in_week([session(TUESDAY, status)], TUESDAY) == counts


def test_a_session_that_is_moved_within_its_week_counts_once() -> None:
    moved, other = session(TUESDAY), session(TUESDAY)
    side = ClientSide(
        known_at=frozenset({FACILITY}), zone=ZONE, planned_per_week=2, sessions=(moved, other)
    )
    warned = client_warnings(slot(at(14)), side, SETTINGS, NOW)
    assert [one.code for one in warned] == ["more_than_planned"]
    assert client_warnings(slot(at(14)), side, SETTINGS, NOW, moved.id) == []


@pytest.mark.parametrize(
    ("ago", "warned"),
    [
        ([0, 1, 89], ["no_shows"]),
        ([0, 1, 90], []),
        ([0, 1], []),
        ([-1, 0, 1], []),
        ([0, 0, 0, 5], ["no_shows"]),
    ],
)
def test_three_no_shows_in_ninety_days_are_warned_of(ago: list[int], warned: list[str]) -> None:
    missed = [session(NOW.date() - timedelta(days=days), "no_show") for days in ago]
    assert codes(at(14), *missed) == warned


def test_a_practice_that_wants_no_such_warning_has_none() -> None:
    missed = [session(NOW.date(), "no_show")] * 4
    silent = msgspec.structs.replace(SETTINGS, no_show_warning=0)
    side = ClientSide(known_at=frozenset({FACILITY}), zone=ZONE, sessions=tuple(missed))
    assert client_warnings(slot(at(14)), side, silent, NOW) == []
    assert no_show_days(missed, NOW.date(), silent) == [NOW.date()] * 4
