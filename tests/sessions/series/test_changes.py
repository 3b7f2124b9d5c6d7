"""Moving and calling off a series from a day on; what stands apart of it, and what is left."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from sessions.calendar.models import Session
from tests.builders import Built, at, ok, refused
from tests.sessions.booking.http import WELL, book
from tests.sessions.people import open_client
from tests.sessions.series.http import (
    DAYS,
    NOW,
    book_series,
    cancel,
    held_practice,
    move,
    send,
    series,
    session_of,
    start,
    starts,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def exceptions(built: Built, series_id: str) -> list[str]:
    return [one["series_exception"] for one in series(built, series_id)["sessions"]]


def results(answer: dict[str, object]) -> list[str]:
    return [one["result"] for one in answer["occurrences"]]  # type: ignore[attr-defined]


def test_the_whole_series_goes_an_hour_later_and_every_session_keeps_its_id(built: Built) -> None:
    made = book_series(built, open_client(built))
    moved = ok(move(built, made["id"], shift_minutes=60))
    assert moved["moved"] == 4
    assert starts(moved, "moved") == [start(day, "10:30") for day in DAYS]
    assert [session_of(moved, n) for n in range(4)] == [session_of(made, n) for n in range(4)]
    assert exceptions(built, made["id"]) == [""] * 4


def test_it_moves_from_a_day_on_and_the_day_itself_is_in_it(built: Built) -> None:
    made = book_series(built, open_client(built))
    moved = ok(move(built, made["id"], from_day=DAYS[2], shift_minutes=-30))
    assert starts(moved, "moved") == [start(day, "09:00") for day in DAYS[2:]]
    shown = series(built, made["id"])["sessions"]
    assert [one["starts_at"] for one in shown[:2]] == [start(day) for day in DAYS[:2]]


@pytest.mark.parametrize("days", [2, -5])
def test_no_session_stands_in_the_way_of_another_of_its_own_series(built: Built, days: int) -> None:
    """Tuesday goes to Thursday, where Thursday is only just leaving; and back."""
    made = book_series(built, open_client(built), recurrence="FREQ=DAILY;COUNT=6")
    moved = ok(move(built, made["id"], shift_minutes=days * 24 * 60))
    assert (moved["moved"], moved["refused"]) == (6, 0)


def test_one_weekday_of_it_goes_to_another_weekday_and_time(built: Built) -> None:
    made = book_series(built, open_client(built))
    asked = {"of_weekday": 4, "weekday": 5, "time": "14:00"}
    moved = ok(move(built, made["id"], **asked))
    assert starts(moved, "moved") == [start("2026-03-20", "14:00"), start("2026-03-27", "14:00")]
    days = [one["local_date"] for one in series(built, made["id"])["sessions"]]
    assert days == ["2026-03-17", "2026-03-20", "2026-03-24", "2026-03-27"]


def test_to_another_practitioner_and_room_without_another_time(built: Built) -> None:
    made = book_series(built, open_client(built), room_id=str(built.rooms["East 1"].pk))
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    moved = ok(move(built, made["id"], practitioner_id=olga, room_id=None))
    assert starts(moved, "moved") == [start(day) for day in DAYS]
    for one in moved["occurrences"]:
        assert one["session"]["practitioner_name"] == "Olga"
        assert one["session"]["room_id"] is None


def test_a_room_that_is_not_named_stays(built: Built) -> None:
    made = book_series(built, open_client(built), room_id=str(built.rooms["East 1"].pk))
    moved = ok(move(built, made["id"], shift_minutes=60))
    assert {one["session"]["room_name"] for one in moved["occurrences"]} == {"East 1"}


def test_what_cannot_be_moved_stays_and_says_why(built: Built) -> None:
    made = book_series(built, open_client(built))
    book(built, open_client(built), start(DAYS[1], "11:00"))
    moved = ok(move(built, made["id"], shift_minutes=60))
    assert results(moved) == ["moved", "refused", "moved", "moved"]
    missed = moved["occurrences"][1]
    assert missed["starts_at"] == start(DAYS[1], "10:30")
    assert missed["session"]["starts_at"] == start(DAYS[1])
    assert missed["refusal"]["code"] == "time_taken"
    problem = refused(
        move(built, made["id"], shift_minutes=60, all_or_nothing=True), 409, "series_refused"
    )
    assert [one["result"] for one in problem["occurrences"]].count("refused") == 1
    assert series(built, made["id"])["sessions"][0]["starts_at"] == start(DAYS[0], "10:30")


def test_nothing_moved_is_no_success(built: Built) -> None:
    made = book_series(built, open_client(built))
    refused(move(built, made["id"], time="09:30"), 409, "none_moved")
    refused(move(built, made["id"], from_day="2026-03-27", time="10:00"), 409, "no_such_sessions")
    refused(move(built, made["id"], of_weekday=1, time="10:00"), 409, "no_such_sessions")


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({}, "shift_minutes"),
        ({"shift_minutes": 60, "time": "10:00"}, "shift_minutes"),
        ({"shift_minutes": 60, "weekday": 3}, "shift_minutes"),
        ({"weekday": 3}, "of_weekday"),
        ({"time": "25:00"}, "time"),
        ({"weekday": 8}, "weekday"),
    ],
)
def test_a_move_says_what_changes_and_of_which_weekday(
    built: Built, asked: dict[str, object], field: str
) -> None:
    made = book_series(built, open_client(built))
    answer = move(built, made["id"], **asked)
    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["errors"]] == [field]


def test_one_session_is_moved_by_the_ordinary_way_and_is_an_exception_since(built: Built) -> None:
    made = book_series(built, open_client(built))
    alone = session_of(made, 1)
    sent = {"starts_at": start("2026-03-20", "13:00"), "reason": "A funeral."}
    session = ok(send(built, f"sessions/{alone}/move", sent))
    assert (session["series_id"], session["series_exception"]) == (made["id"], "moved")
    moved = ok(move(built, made["id"], shift_minutes=60))
    assert results(moved) == ["moved", "left", "moved", "moved"]
    left = moved["occurrences"][1]
    assert left["left_because"] == "It was moved by itself before: move it by itself again."
    assert left["session"]["starts_at"] == start("2026-03-20", "13:00")
    # Called off with the rest it is all the same: the client comes no more.
    assert ok(cancel(built, made["id"]))["cancelled"] == 4
    assert exceptions(built, made["id"]) == ["", "moved", "", ""]


def test_a_session_planned_anew_in_its_place_is_no_exception(built: Built) -> None:
    made = book_series(built, open_client(built))
    sent = {"requested_mode": "self_directed", "reason": "As the client asked."}
    session = ok(send(built, f"sessions/{session_of(made, 1)}/move", sent))
    assert (session["planned_mode"], session["series_exception"]) == ("self_directed", "")


def test_one_session_is_called_off_by_the_ordinary_way_and_its_undoing_ends_the_exception(
    built: Built,
) -> None:
    made = book_series(built, open_client(built))
    path = f"sessions/{session_of(made, 1)}"
    sent = {"by": "client", "reason": "Has a cold."}
    assert ok(send(built, f"{path}/cancellation", sent))["series_exception"] == "cancelled"
    moved = ok(move(built, made["id"], shift_minutes=60))
    assert moved["occurrences"][1]["left_because"] == "It is cancelled already."
    other = {"status": "cancelled", "by": "practice", "cause": "Ours.", "reason": "Slip."}
    assert ok(send(built, f"{path}/correction", other))["series_exception"] == "cancelled"
    undone = {"status": "booked", "reason": "The wrong row."}
    assert ok(send(built, f"{path}/correction", undone))["series_exception"] == ""


def test_the_rest_is_called_off_with_who_and_why_and_the_late_rule(built: Built) -> None:
    made = book_series(built, open_client(built))
    with clock.at(at("2026-03-23T12:00:00-04:00")):
        answer = ok(cancel(built, made["id"], from_day=DAYS[2]))
    assert answer["cancelled"] == 2
    warned = [[one["code"] for one in each["warnings"]] for each in answer["occurrences"]]
    assert warned == [["late_cancellation"], []]
    shown = series(built, made["id"])["sessions"]
    assert [one["status"] for one in shown] == ["booked", "booked", "cancelled", "cancelled"]
    assert {one["series_exception"] for one in shown} == {""}
    row = Session.objects.get(pk=session_of(made, 3))
    assert (row.cancelled_by, row.ended_reason) == ("client", "Goes on at home.")
    refused(cancel(built, made["id"], from_day=DAYS[2]), 409, "none_cancelled")


def test_what_the_practice_was_told_earlier_counts_from_then(built: Built) -> None:
    made = book_series(built, open_client(built))
    with clock.at(at("2026-03-23T12:00:00-04:00")):
        told = "2026-03-20T12:00:00-04:00"
        answer = ok(cancel(built, made["id"], from_day=DAYS[2], occurred_at=told))
    assert [one["warnings"] for one in answer["occurrences"]] == [[], []]


def test_what_took_place_is_under_way_or_has_begun_is_never_touched(built: Built) -> None:
    made = book_series(built, open_client(built), recurrence="FREQ=DAILY;COUNT=5")
    first, second = (f"sessions/{session_of(made, n)}" for n in range(2))
    with clock.at(at(start("2026-03-17", "09:25"))):
        ok(send(built, f"{first}/arrival", WELL))
    with clock.at(at(start("2026-03-18", "10:35"))):
        ok(send(built, f"{second}/no-show", {}))
    with clock.at(at(start("2026-03-19", "09:30"))):
        for answer in (move(built, made["id"], shift_minutes=60), cancel(built, made["id"])):
            told = [one["left_because"] for one in ok(answer)["occurrences"]]
            assert told == [
                "The client has arrived.",
                "The client did not come to it.",
                "Its time has come.",
                "",
                "",
            ]
    statuses = [one["status"] for one in series(built, made["id"])["sessions"]]
    assert statuses == ["arrived", "no_show", "booked", "cancelled", "cancelled"]


def test_a_minute_before_its_time_a_session_still_moves(built: Built) -> None:
    made = book_series(built, open_client(built))
    with clock.at(at(start(DAYS[0], "09:30")) - timedelta(minutes=1)):
        assert ok(move(built, made["id"], shift_minutes=60))["moved"] == 4


def test_a_session_at_a_place_that_the_desk_does_not_see_is_left(built: Built) -> None:
    client = open_client(built, built.east, built.west)
    made = book_series(built, client)
    sent = {"facility_id": str(built.west.pk), "reason": "Nearer to work."}
    ok(send(built, f"sessions/{session_of(made, 3)}/move", sent, Role.OWNER))
    answer = ok(cancel(built, made["id"]))
    assert answer["occurrences"][3]["left_because"] == "It is at a facility that you do not see."
    assert answer["occurrences"][3]["session"] is None
    sent = {"from_day": DAYS[0], "by": "client", "reason": "All of it."}
    path = f"session-series/{made['id']}/cancellation"
    assert ok(send(built, path, sent, Role.OWNER))["cancelled"] == 1


def test_the_history_tells_of_the_series_in_plain_words(built: Built) -> None:
    client = open_client(built)
    made = book_series(built, client)
    ok(move(built, made["id"], shift_minutes=60))
    ok(cancel(built, made["id"], from_day=DAYS[2]))
    shown = ok(built.api(Role.OWNER).get(f"clients/{client}/history", {"page_size": "50"}))
    told = [one["text"] for one in shown["results"] if "series" in one["text"]]
    assert sorted(told) == [
        "A series was booked (FREQ=WEEKLY;BYDAY=TU,TH;COUNT=4): 4 sessions.",
        "A series was moved from 2026-03-17 on: 4 sessions. Asked on the phone.",
        "The client cancelled a series from 2026-03-24 on, 2 sessions: Goes on at home.",
    ]
