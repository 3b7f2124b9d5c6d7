"""Kinds of session, and closed times with a reason, in series and on the waiting list; the
sessions of one kind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from practice.policy.models import PracticeSetting
from sessions.calendar.models import Session
from tests.builders import Built, ok, refused
from tests.sessions.absences.http import closed
from tests.sessions.booking.http import book
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
    series_body,
    session_of,
    start,
    starts,
)
from tests.sessions.waiting_list.http import answer, offer, waits, who_fits

pytestmark = pytest.mark.django_db
KIND = {
    "name": "Strength",
    "purpose": "treatment",
    "default_minutes": 45,
    "lengths": [45, 60],
    "hands_on": False,
}
WHY = "They come in for it."


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def kind(built: Built, **changes: Any) -> str:
    made = ok(built.api(Role.OWNER).post("session-kinds", {**KIND, **changes}), 201)
    return str(made["id"])


def test_a_series_is_of_a_kind_as_each_of_its_sessions_is(built: Built) -> None:
    named = kind(built)
    answered = book_series(built, open_client(built), kind_id=named, minutes=None)
    assert answered["booked"] == 4
    rows = Session.objects.all()
    assert {(str(row.kind_id), row.kind_name, row.planned_mode) for row in rows} == {
        (named, "Strength", "self_directed")
    }
    assert {row.ends_at - row.starts_at for row in rows} == {rows[0].ends_at - rows[0].starts_at}
    shown = series(built, answered["id"])
    assert (shown["kind_id"], shown["kind_name"], shown["minutes"]) == (named, "Strength", 45)
    assert {one["kind_id"] for one in shown["sessions"]} == {named}
    longer = move(built, answered["id"], shift_minutes=30)
    assert {one["session"]["kind_id"] for one in ok(longer)["occurrences"]} == {named}


@pytest.mark.parametrize(
    ("changes", "status", "code"),
    [
        ({"minutes": 50}, 409, "none_booked"),
        ({"purpose": "evaluation"}, 400, "invalid"),
        ({"requested_mode": "hands_on"}, 409, "kind_self_directed"),
    ],
)
def test_what_does_not_fit_the_kind_is_refused_as_for_a_session_alone(
    built: Built, changes: dict[str, Any], status: int, code: str
) -> None:
    sent = series_body(built, open_client(built), **{"kind_id": kind(built), **changes})
    refused(send(built, "session-series", sent), status, code)
    assert not Session.objects.exists()


def test_a_series_of_no_kind_says_its_length_and_of_none_that_is_unknown(built: Built) -> None:
    client = open_client(built)
    for changes in ({"minutes": None}, {"kind_id": str(client)}):
        sent = series_body(built, client, **changes)
        refused(send(built, "session-series", sent), 400, "invalid")
    named = kind(built)
    ok(built.api(Role.OWNER).change(f"session-kinds/{named}", {"is_active": False}))
    sent = series_body(built, client, kind_id=named, minutes=45)
    refused(send(built, "session-series", sent), 409, "kind_out_of_use")


def test_a_closed_day_of_a_series_is_booked_with_the_reason_alone(built: Built) -> None:
    client = open_client(built)
    closed(built, first_day=DAYS[1])
    without = book_series(built, client)
    assert starts(without, "refused") == [start(DAYS[1])]
    ok(cancel(built, without["id"]))
    told = book_series(built, client, overrule=WHY)
    assert told["booked"] == 4
    rows = Session.objects.filter(series_id=told["id"]).order_by("starts_at")
    assert [row.overruled for row in rows] == ["", WHY, "", ""]
    assert series(built, told["id"])["overruled"] == WHY
    closed(built, first_day="2026-03-25")
    other = {"of_weekday": 2, "weekday": 3, "from_day": DAYS[2]}
    refused(move(built, told["id"], **other), 409, "none_moved")
    moved = ok(move(built, told["id"], **other, overrule=WHY))
    assert starts(moved, "moved") == [start("2026-03-25")]


def test_who_waits_for_a_kind_is_offered_and_booked_in_it(built: Built) -> None:
    named, client = kind(built), open_client(built)
    path = f"clients/{client}/waiting"
    entry = ok(built.api(Role.FRONT_DESK).post(path, {"kind_id": named}), 201)
    assert (entry["kind_id"], entry["kind_name"], entry["minutes"]) == (named, "Strength", 45)
    ten = start(DAYS[0], "10:00")
    (fit,) = who_fits(built, ten)["results"]
    assert (fit["mode"], fit["ends_at"]) == ("self_directed", start(DAYS[0], "10:45"))
    ok(offer(built, entry["id"], ten), 201)
    booked = ok(answer(built, entry["id"], "acceptance"), 201)
    assert (booked["kind_id"], booked["requested_mode"]) == (named, "self_directed")
    found = ok(built.api(Role.FRONT_DESK).get("waiting-list", {"kind_id": named}))["results"]
    assert [one["id"] for one in found] == [entry["id"]]


@pytest.mark.parametrize(
    ("wanted", "status", "code"),
    [
        ({"minutes": 50}, 409, "kind_length"),
        ({"purpose": "evaluation"}, 400, "invalid"),
        ({"minutes": 60}, 201, ""),
        ({"kind_id": None}, 400, "invalid"),
    ],
)
def test_what_does_not_fit_the_kind_is_not_waited_for(
    built: Built, wanted: dict[str, Any], status: int, code: str
) -> None:
    sent = {"kind_id": kind(built), **wanted}
    sent = {name: value for name, value in sent.items() if value is not None}
    path = f"clients/{open_client(built)}/waiting"
    answered = built.api(Role.FRONT_DESK).post(path, sent)
    assert answered.status_code == status, answered.content
    assert code in ("", answered.json().get("code"))


def test_a_kind_that_is_not_offered_any_more_fits_nobody(built: Built) -> None:
    named, ten = kind(built), start(DAYS[0], "10:00")
    entry = waits(built, open_client(built), kind_id=named, minutes=60)
    assert who_fits(built, ten)["results"]
    owner = built.api(Role.OWNER)
    ok(owner.change(f"session-kinds/{named}", {"lengths": [45]}))
    assert who_fits(built, ten)["results"] == []
    refused(offer(built, entry["id"], ten), 409, "kind_length")
    ok(owner.change(f"session-kinds/{named}", {"lengths": [45, 60], "is_active": False}))
    assert who_fits(built, ten)["results"] == []
    refused(offer(built, entry["id"], ten), 409, "kind_out_of_use")


def test_a_closed_time_is_offered_and_booked_with_the_reason_alone(built: Built) -> None:
    entry, ten = waits(built, open_client(built))["id"], start(DAYS[0], "10:00")
    closed(built, first_day=DAYS[0])
    refused(offer(built, entry, ten), 409, "closed_then")
    offered = ok(offer(built, entry, ten, overrule=WHY), 201)
    assert offered["offers"][0]["overruled"] == WHY
    assert ok(answer(built, entry, "acceptance"), 201)["overruled"] == WHY
    other = waits(built, open_client(built))["id"]
    open_day = ok(offer(built, other, start(DAYS[1], "10:00"), overrule=WHY), 201)
    assert open_day["offers"][0]["overruled"] == ""


def test_a_series_that_moves_or_ends_says_who_waits_for_its_times(built: Built) -> None:
    booked, client = book_series(built, open_client(built)), open_client(built)
    waits(built, client, weekdays=[4])

    def named(answered: dict[str, Any]) -> list[Any]:
        return [
            one["waiting_fits"] and [fit["client_id"] for fit in one["waiting_fits"]["first"]]
            for one in answered["occurrences"]
        ]

    assert named(booked) == [None] * 4
    moved = ok(move(built, booked["id"], shift_minutes=180))
    assert named(moved) == [[], [str(client)], [], [str(client)]]
    fit = moved["occurrences"][1]["waiting_fits"]["first"][0]
    assert fit["starts_at"] == start(DAYS[1])
    one = send(
        built,
        f"sessions/{session_of(moved, 1)}/cancellation",
        {"by": "client", "reason": "Has a cold."},
    )
    assert ok(one)["waiting_fits"]["first"][0]["starts_at"] == start(DAYS[1], "12:30")
    off = ok(cancel(built, booked["id"], from_day=DAYS[1]))
    assert named(off) == [None, [], [str(client)]]


def test_of_a_long_series_the_soonest_times_are_looked_at(built: Built) -> None:
    setting = PracticeSetting.objects.get(group="series", key="most_freed_times")
    ok(
        built.api(Role.OWNER).change(
            f"settings/{setting.pk}", {"value": 2, "citation": "practice policy"}
        )
    )
    booked = book_series(built, open_client(built))
    off = ok(cancel(built, booked["id"]))
    looked_at = [one["waiting_fits"] is not None for one in off["occurrences"]]
    assert looked_at == [True, True, False, False]


def test_sessions_are_listed_by_their_kind(built: Built) -> None:
    named, client = kind(built), open_client(built)
    one = book(built, client, start(DAYS[0], "10:00"), kind_id=named, minutes=45)
    book(built, client, start(DAYS[0], "12:00"))
    desk = built.api(Role.FRONT_DESK)
    found = ok(desk.get("sessions", {"kind_id": named}))["results"]
    assert [row["id"] for row in found] == [one["id"]]
    assert ok(desk.get("sessions", {"kind_id": str(client)}))["results"] == []
