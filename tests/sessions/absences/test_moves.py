"""Sessions that an absence or a closure meets: moved in one act, the rest on the call list."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from sessions.calendar.models import Session
from tests.builders import Built, ok, refused
from tests.sessions.absences.http import (
    DAY,
    TEN,
    booked,
    closed,
    marco,
    met,
    move_all,
    olga,
    paula,
    recorded,
    to_call,
)
from tests.sessions.booking.http import book, key
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, held_practice, start

pytestmark = pytest.mark.django_db
AFTER = start("2026-03-18", "10:00")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def reasons(built: Built) -> list[tuple[str, str]]:
    return [(one["reason"], one["about_id"]) for one in to_call(built)]


def test_several_are_moved_in_one_act_each_its_own_way(built: Built) -> None:
    first, second, third = (
        booked(built, open_client(built), one) for one in ("09:00", "10:00", "11:00")
    )
    absence = recorded(built)
    done = ok(
        move_all(
            built,
            absence,
            {"session_id": first, "practitioner_id": olga(built)},
            {"session_id": second, "starts_at": AFTER},
        )
    )
    assert (done["still_without"], done["moved"], done["refused"]) == (1, 2, 0)
    rows = {str(one.pk): one for one in Session.objects.all()}
    assert str(rows[first].practitioner_id) == olga(built)
    assert rows[first].starts_at.isoformat() == "2026-03-17T13:00:00+00:00"
    assert rows[second].starts_at.isoformat() == "2026-03-18T14:00:00+00:00"
    assert [one["session_id"] for one in met(built, absence)] == [third]
    assert reasons(built) == [("practitioner_absent", third)]


def test_each_says_why_it_was_not_moved_and_the_others_are(built: Built) -> None:
    """One to a colleague whose time is taken by the one before."""
    first, second = (booked(built, open_client(built), one) for one in ("10:00", "11:00"))
    booked(built, open_client(built), "11:00", practitioner_id=olga(built))
    absence = recorded(built)
    moves = [{"session_id": one, "practitioner_id": olga(built)} for one in (first, second)]
    done = ok(move_all(built, absence, *moves))
    assert [one["moved"] for one in done["outcomes"]] == [True, False]
    assert done["outcomes"][1]["refusal"]["code"] == "time_taken"
    assert (done["still_without"], done["refused"]) == (1, 1)
    assert reasons(built) == [("practitioner_absent", second)]


def test_two_in_one_act_never_get_the_same_time_of_one_colleague(built: Built) -> None:
    first = booked(built, open_client(built), "10:00")
    second = booked(built, open_client(built), "11:00")
    absence = recorded(built)
    at_ten = {"practitioner_id": olga(built), "starts_at": TEN}
    done = ok(
        move_all(built, absence, {"session_id": first, **at_ten}, {"session_id": second, **at_ten})
    )
    assert [one["moved"] for one in done["outcomes"]] == [True, False]


def test_all_or_nothing_moves_none_where_one_cannot_be(built: Built) -> None:
    first, second = (booked(built, open_client(built), one) for one in ("10:00", "11:00"))
    booked(built, open_client(built), "11:00", practitioner_id=olga(built))
    absence = recorded(built)
    moves = [{"session_id": one, "practitioner_id": olga(built)} for one in (first, second)]
    problem = refused(move_all(built, absence, *moves, all_or_nothing=True), 409, "moves_refused")
    assert [one["refusal"] is None for one in problem["outcomes"]] == [True, False]
    assert len(met(built, absence)) == 2
    done = ok(move_all(built, absence, moves[0], all_or_nothing=True))
    assert done["moved"] == 1


def test_where_none_can_be_moved_it_is_a_refusal(built: Built) -> None:
    session = booked(built, open_client(built))
    absence = recorded(built)
    back = {
        "session_id": session,
        "practitioner_id": paula(built),
        "starts_at": start(DAY, "12:00"),
    }
    problem = refused(move_all(built, absence, back), 409, "none_moved")
    assert problem["outcomes"][0]["refusal"]["code"] == "closed_then"


def test_a_move_to_the_absent_one_may_be_overruled(built: Built) -> None:
    session = booked(built, open_client(built))
    absence = recorded(built)
    move = {
        "session_id": session,
        "starts_at": start(DAY, "12:00"),
        "overrule": "Comes in for this one.",
    }
    done = ok(move_all(built, absence, move))
    assert (done["moved"], done["still_without"]) == (1, 0)
    assert reasons(built) == []


def test_one_that_somebody_moved_meanwhile_is_not_moved_again(built: Built) -> None:
    session, other = (booked(built, open_client(built), one) for one in ("10:00", "11:00"))
    absence = recorded(built)
    sent = {"practitioner_id": marco(built), "reason": "Was quicker."}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session}/move", sent, key=key()))
    moves = [{"session_id": one, "practitioner_id": olga(built)} for one in (session, other)]
    done = ok(move_all(built, absence, *moves))
    assert [one["moved"] for one in done["outcomes"]] == [False, True]
    assert done["outcomes"][0]["refusal"]["code"] == "not_met"
    assert str(Session.objects.get(pk=session).practitioner_id) == marco(built)


def test_a_session_of_another_day_is_not_moved_by_it(built: Built) -> None:
    session = str(book(built, open_client(built), AFTER)["id"])
    move = {"session_id": session, "practitioner_id": olga(built)}
    problem = refused(move_all(built, recorded(built), move), 409, "none_moved")
    assert problem["outcomes"][0]["refusal"]["code"] == "not_met"


def test_one_session_is_named_once(built: Built) -> None:
    session = booked(built, open_client(built))
    move = {"session_id": session, "practitioner_id": olga(built)}
    answer = move_all(built, recorded(built), move, move)
    assert answer.status_code == 400


def test_sessions_of_a_closed_place_go_to_another_day(built: Built) -> None:
    session = booked(built, open_client(built))
    closure = closed(built)
    assert reasons(built) == [("facility_closed", session)]
    stay = {"session_id": session, "practitioner_id": olga(built)}
    refused(move_all(built, closure, stay), 409, "none_moved")
    done = ok(move_all(built, closure, {"session_id": session, "starts_at": AFTER}))
    assert (done["still_without"], done["moved"]) == (0, 1)
    assert reasons(built) == []


def on_the_list(built: Built) -> tuple[str, dict[str, Any]]:
    client = open_client(built)
    session = booked(built, client)
    absence = recorded(built)
    (entry,) = to_call(built)
    assert (entry["reason"], entry["about_id"]) == ("practitioner_absent", session)
    assert entry["call_by"] == DAY
    assert entry["text"] == (
        "The session on 2026-03-17 at 10:00 cannot be as it is booked: the practitioner cannot be "
        "there. Offer another."
    )
    return session, {**absence, "client": str(client)}


def test_the_call_list_tells_it_until_the_session_is_cancelled(built: Built) -> None:
    session, _ = on_the_list(built)
    sent = {"by": "practice", "reason": "The practitioner is ill."}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session}/cancellation", sent, key=key()))
    assert reasons(built) == []


def test_until_the_client_was_reached_but_it_still_counts_as_left(built: Built) -> None:
    session, absence = on_the_list(built)
    sent = {"about": [session], "outcome": "reached"}
    ok(built.api(Role.FRONT_DESK).post(f"clients/{absence['client']}/calls", sent, key=key()), 201)
    assert reasons(built) == []
    shown = ok(built.api(Role.FRONT_DESK).get(f"absences/{absence['id']}"))
    assert shown["sessions"]["still_without"] == 1


def test_until_it_is_lifted(built: Built) -> None:
    _, absence = on_the_list(built)
    path = f"absences/{absence['id']}/lifting"
    lift = {"reason": "Back at work."}
    ok(built.api(Role.FRONT_DESK).post(path, lift, match=absence["revision"]))
    assert reasons(built) == []
    assert met(built, absence) == []


def test_until_its_time_is_over(built: Built) -> None:
    on_the_list(built)
    with clock.at(NOW.replace(day=17, hour=10, minute=59)):
        assert len(reasons(built)) == 1
    with clock.at(NOW.replace(day=17, hour=11, minute=0)):
        assert reasons(built) == []


def test_the_day_sheet_says_that_the_practitioner_is_absent(built: Built) -> None:
    booked(built, open_client(built))
    recorded(built)
    query = {"facility_id": str(built.east.pk), "day": DAY}
    sheet = ok(built.api(Role.FRONT_DESK).get("day-sheet", query))
    assert "practitioner_absent" in str(sheet)
    assert sheet["headline"].startswith("Cannot be as booked 1. Something is missing for 1.")


def test_no_class_is_made_where_nobody_is_there_or_the_place_is_closed(built: Built) -> None:
    recorded(built)
    sent = {
        "title": "Gentle strength",
        "practitioner_id": paula(built),
        "facility_id": str(built.east.pk),
        "starts_at": TEN,
        "minutes": 60,
        "capacity": 4,
    }
    desk = built.api(Role.FRONT_DESK)
    refused(desk.post("classes", sent, key=key()), 409, "closed_then")
    sent["practitioner_id"] = marco(built)
    closed(built)
    refused(desk.post("classes", sent, key=key()), 409, "closed_then")
    ok(desk.post("classes", {**sent, "starts_at": AFTER}, key=key()), 201)
