"""Places in a class: each client's own session, side by side, and nothing else beside them."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Credential, Role
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import body, book, key, local
from tests.sessions.groups.http import act, ask_place, class_body, made, placed, read
from tests.sessions.people import open_client, registered
from tests.sessions.waiting_list.http import waits

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def refused(answer: Any, status: int = 409) -> Any:
    assert answer.status_code == status, answer.content
    return answer.json()


def test_each_client_has_a_session_of_their_own(built: Built) -> None:
    one, two = open_client(built), open_client(built)
    group = made(built)
    assert (group["places_taken"], group["places_free"]) == (0, 3)
    first, second = placed(built, group["id"], one), placed(built, group["id"], two)
    assert (second["places_taken"], second["places_free"]) == (2, 1)
    assert first["session"]["id"] != second["session"]["id"]
    for place, client in ((first, one), (second, two)):
        session = place["session"]
        assert session["client_id"] == str(client)
        assert session["class_id"] == group["id"]
        assert session["planned_mode"] == "self_directed"
    shown = read(built, group["id"])
    assert {place["client_id"] for place in shown["places"]} == {str(one), str(two)}


def test_hands_on_is_refused(built: Built) -> None:
    client = open_client(built)
    problem = refused(ask_place(built, made(built)["id"], client, requested_mode="hands_on"))
    assert problem["code"] == "class_is_self_directed"
    assert problem["bookable_as"] == ["self_directed"]


def test_a_full_class_says_how_many_places_it_has(built: Built) -> None:
    group = made(built, capacity=2)
    for _ in range(2):
        placed(built, group["id"], registered(built))
    problem = refused(ask_place(built, group["id"], registered(built)))
    assert problem["code"] == "class_full"
    assert (problem["capacity"], problem["places_taken"], problem["places_free"]) == (2, 2, 0)


def test_a_place_that_is_called_off_is_free_again_and_comes_back_only_while_one_is(
    built: Built,
) -> None:
    group = made(built, capacity=2)
    mine = placed(built, group["id"], registered(built))["session"]["id"]
    placed(built, group["id"], registered(built))
    desk = built.api(Role.FRONT_DESK)
    gone = {"by": "client", "reason": "Has a cold."}
    answer = ok(desk.post(f"sessions/{mine}/cancellation", gone, key=key()))
    assert answer["waiting_fits"]["count"] == 0
    assert read(built, group["id"])["places_free"] == 1
    placed(built, group["id"], registered(built))
    back = {"status": "booked", "reason": "It was the other client."}
    problem = refused(desk.post(f"sessions/{mine}/correction", back, key=key()))
    assert problem["code"] == "class_full"


def test_nobody_has_two_places(built: Built) -> None:
    client, group = registered(built), made(built)
    placed(built, group["id"], client)
    problem = refused(ask_place(built, group["id"], client))
    assert (problem["code"], problem["taken"]) == ("time_taken", ["client"])


def test_a_session_beside_an_empty_class_clashes(built: Built) -> None:
    made(built, room_id=str(built.rooms["East 1"].pk))
    sent = body(built, registered(built), local(3), room_id=str(built.rooms["East 1"].pk))
    problem = refused(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()))
    assert (problem["code"], problem["taken"]) == ("time_taken", ["practitioner", "room"])
    assert len(problem["conflicts"]) == 2


def test_a_session_beside_a_place_clashes_and_is_named_once(built: Built) -> None:
    group = made(built)
    for _ in range(3):
        placed(built, group["id"], registered(built))
    sent = body(built, registered(built), local(3))
    problem = refused(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()))
    assert problem["taken"] == ["practitioner"]
    assert len({str(one) for one in problem["conflicts"]}) == len(problem["conflicts"])


def test_a_class_where_somebody_is_booked_or_another_class_is_clashes(built: Built) -> None:
    book(built, registered(built), local(3))
    desk = built.api(Role.FRONT_DESK)
    problem = refused(desk.post("classes", class_body(built, local(3)), key=key()))
    assert (problem["code"], problem["taken"]) == ("time_taken", ["practitioner"])
    made(built, local(4))
    problem = refused(desk.post("classes", class_body(built, local(4)), key=key()))
    assert problem["code"] == "time_taken"
    made(built, local(4, 11))


def test_a_called_off_class_gives_nobody_a_place_and_its_time_back(built: Built) -> None:
    group = made(built)
    ok(act(built, group["id"], "cancellation", reason="Too few came forward."))
    assert refused(ask_place(built, group["id"], registered(built)))["code"] == "class_cancelled"
    book(built, registered(built), local(3))


def test_a_place_does_not_leave_its_class(built: Built) -> None:
    session = placed(built, made(built)["id"], registered(built))["session"]["id"]
    sent = {"starts_at": local(5), "reason": "Another day."}
    problem = refused(built.api(Role.FRONT_DESK).post(f"sessions/{session}/move", sent, key=key()))
    assert problem["code"] == "place_in_a_class"


@pytest.mark.parametrize(("capacity", "status"), [(1, 400), (2, 201), (8, 201), (9, 400)])
def test_a_group_is_two_or_more_up_to_the_practices_bound(
    built: Built, capacity: int, status: int
) -> None:
    sent = class_body(built, capacity=capacity)
    answer = built.api(Role.FRONT_DESK).post("classes", sent, key=key())
    assert answer.status_code == status, answer.content


@pytest.mark.parametrize("sent", [{"minutes": None}, {"starts_at": local(-2)}, {"minutes": 1}])
def test_a_class_at_a_time_that_cannot_be_is_400(built: Built, sent: dict[str, Any]) -> None:
    answer = built.api(Role.FRONT_DESK).post("classes", class_body(built, **sent), key=key())
    assert answer.status_code == 400, answer.content


def test_open_times_offer_nothing_in_the_time_of_a_class(built: Built) -> None:
    client, owner = open_client(built), built.api(Role.OWNER)
    group = made(built, local(3, 9, 0), minutes=120)
    day = group["local_date"]
    who = str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)
    asked = {
        "client_id": str(client),
        "from": day,
        "to": day,
        "minutes": 60,
        "practitioner_id": who,
        "facility_id": str(built.east.pk),
    }
    offered = ok(owner.get("open-times", asked))["results"]
    assert offered
    assert not [
        one
        for one in offered
        if one["starts_at"] < group["ends_at"] and group["starts_at"] < one["ends_at"]
    ]


def test_a_place_that_is_called_off_offers_nobody_the_practitioners_time(built: Built) -> None:
    """The class still holds it: who waits for what is no treatment is not told of it."""
    group = made(built, minutes=60)
    mine = placed(built, group["id"], registered(built))["session"]["id"]
    waits(built, open_client(built), purpose="evaluation")
    gone = {"by": "client", "reason": "Has a cold."}
    desk = built.api(Role.FRONT_DESK)
    answer = ok(desk.post(f"sessions/{mine}/cancellation", gone, key=key()))
    assert answer["waiting_fits"]["count"] == 0
