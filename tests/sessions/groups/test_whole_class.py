"""A class as a whole: moved and called off in one act, each client's outcome, who is to be told."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from practice.people_and_places.selectors.kept import rooms_in_use
from sessions.calendar.models import ExerciseClass, Session
from tests.builders import Built, build_practice, ok, practitioner
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.groups.http import act, class_body, made, placed, read
from tests.sessions.people import open_client, prefers, registered, tell

pytestmark = pytest.mark.django_db

PAINTED = "The room is painted that morning."


@pytest.fixture
def built() -> Built:
    return build_practice()


def refused(answer: Any, status: int = 409) -> Any:
    assert answer.status_code == status, answer.content
    return answer.json()


def rows(built: Built, class_id: str) -> list[Session]:
    return list(Session.objects.filter(class_id=class_id).order_by("id"))


def test_a_class_without_a_room_where_all_are_taken_is_warned_of(built: Built) -> None:
    marco, olga = (
        str(built.practitioners[one].pk)
        for one in (Credential.MASSAGE_THERAPIST, Credential.OCCUPATIONAL_THERAPIST)
    )
    group = made(built)
    assert "no_room_left" not in {one["code"] for one in group["warnings"]}
    rooms = [str(row.pk) for row in rooms_in_use(built.east.pk)]
    for room, who in zip(rooms[1:], (marco, olga), strict=False):
        book(built, registered(built), local(4), room_id=room, practitioner_id=who)
    fits = ok(act(built, group["id"], "move", starts_at=local(4), reason="Another day."))
    assert "no_room_left" not in {one["code"] for one in fits["warnings"]}, "it takes one itself"
    later = ok(act(built, group["id"], "move", starts_at=local(4, 10, 30), reason="Later."))
    assert "no_room_left" not in {one["code"] for one in later["warnings"]}, "nor its own way"
    ok(act(built, group["id"], "move", starts_at=local(4), reason="As it was."))
    third = practitioner("Third Therapist", Credential.MASSAGE_THERAPIST, built.east)
    more = made(built, local(4), practitioner_id=str(third.pk))
    assert "no_room_left" in {one["code"] for one in more["warnings"]}


def test_a_class_moves_with_every_place_and_each_keeps_its_id(built: Built) -> None:
    group = made(built)
    ids = {placed(built, group["id"], registered(built))["session"]["id"] for _ in range(3)}
    answer = ok(act(built, group["id"], "move", starts_at=local(4, 14), reason=PAINTED))
    assert {one["session_id"] for one in answer["outcomes"]} == ids
    assert {one["result"] for one in answer["outcomes"]} == {"moved"}
    shown = read(built, group["id"])
    assert shown["local_date"] == local(4)[:10]
    for row in rows(built, group["id"]):
        assert (row.starts_at, row.ends_at) == (
            ExerciseClass.objects.get().starts_at,
            ExerciseClass.objects.get().ends_at,
        )
        assert str(row.class_id) == group["id"]
    book(built, registered(built), local(3))


def test_a_class_may_move_into_its_own_time(built: Built) -> None:
    group = made(built, local(3, 10))
    for _ in range(2):
        placed(built, group["id"], registered(built))
    answer = ok(act(built, group["id"], "move", starts_at=local(3, 10, 15), reason=PAINTED))
    assert [one["result"] for one in answer["outcomes"]] == ["moved", "moved"]


def test_where_somebody_cannot_come_along_nothing_moves_unless_it_is_said(built: Built) -> None:
    busy, free = registered(built), registered(built)
    group = made(built)
    for one in (busy, free):
        placed(built, group["id"], one)
    aide = built.practitioners[Credential.MASSAGE_THERAPIST].pk
    book(built, busy, local(4, 14), practitioner_id=str(aide))
    sent = {"starts_at": local(4, 14), "reason": PAINTED}
    problem = refused(act(built, group["id"], "move", **sent))
    assert problem["code"] == "not_all_can_move"
    assert [one["client_id"] for one in problem["places"]] == [str(busy)]
    assert problem["places"][0]["refusal"]["code"] == "time_taken"
    assert read(built, group["id"])["starts_at"] == group["starts_at"]
    answer = ok(act(built, group["id"], "move", **sent, cancel_who_cannot=True))
    results = {one["client_id"]: one["result"] for one in answer["outcomes"]}
    assert results == {str(busy): "refused", str(free): "moved"}
    left = Session.objects.get(client_id=busy, class_id=group["id"])
    assert (left.status, left.cancelled_by, left.ended_reason) == ("cancelled", "practice", PAINTED)
    assert answer["places_taken"] == 1


def test_a_move_to_a_practitioner_against_a_preference_is_refused_for_that_client(
    built: Built,
) -> None:
    client, group = open_client(built), made(built)
    placed(built, group["id"], client)
    other = built.practitioners[Credential.MASSAGE_THERAPIST]
    gender = Gender.MAN if other.gender != Gender.MAN else Gender.WOMAN
    tell(built, client, prefers(gender))
    problem = refused(
        act(built, group["id"], "move", practitioner_id=str(other.pk), reason="Is away.")
    )
    assert problem["places"][0]["refusal"]["code"] == "against_preference"


def test_a_move_into_a_taken_time_or_to_nowhere_else_is_refused(built: Built) -> None:
    group = made(built)
    book(built, registered(built), local(4, 14))
    sent = {"starts_at": local(4, 14), "reason": PAINTED}
    assert refused(act(built, group["id"], "move", **sent))["code"] == "time_taken"
    sent["starts_at"] = group["starts_at"]
    assert refused(act(built, group["id"], "move", **sent))["code"] == "nothing_to_move"


def test_a_class_called_off_is_called_off_for_all_by_the_practice(built: Built) -> None:
    group = made(built)
    for _ in range(2):
        placed(built, group["id"], registered(built))
    answer = ok(act(built, group["id"], "cancellation", reason="Too few came forward."))
    assert answer["is_cancelled"]
    assert answer["places_free"] == 0
    assert [one["result"] for one in answer["outcomes"]] == ["cancelled", "cancelled"]
    assert {(one.status, one.cancelled_by) for one in rows(built, group["id"])} == {
        ("cancelled", "practice")
    }
    again = act(built, group["id"], "cancellation", reason="Too few came forward.")
    assert refused(again)["code"] == "class_cancelled"


def test_once_somebody_came_the_class_is_not_changed_as_a_whole(built: Built) -> None:
    group = made(built, (clock.now() + timedelta(minutes=5)).isoformat())
    session = placed(built, group["id"], open_client(built))["session"]["id"]
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session}/arrival", WELL, key=key()))
    for what, sent in (("cancellation", {}), ("move", {"starts_at": local(2)})):
        problem = refused(act(built, group["id"], what, reason=PAINTED, **sent))
        assert problem["code"] == "class_under_way"


@pytest.mark.parametrize("what", ["move", "cancellation"])
def test_who_was_in_it_is_on_the_call_list_to_be_told(built: Built, what: str) -> None:
    client, group = registered(built), made(built)
    placed(built, group["id"], client)
    sent = {"starts_at": local(4, 14)} if what == "move" else {}
    ok(act(built, group["id"], what, reason=PAINTED, **sent))
    listed = ok(built.api(Role.FRONT_DESK).get("call-list"))["results"]
    told = [one for one in listed if "Strength and balance" in str(one)]
    assert len(told) == 1
    assert ("is called off" in str(told[0])) is (what == "cancellation")


def test_a_stale_version_is_412(built: Built) -> None:
    group = made(built)
    desk = built.api(Role.FRONT_DESK)
    path = f"classes/{group['id']}/cancellation"
    answer = desk.post(path, {"reason": PAINTED}, key=key(), match=7)
    assert answer.status_code == 412, answer.content


def test_the_list_finds_classes_by_day_and_by_what_is_left(built: Built) -> None:
    full, free = made(built, local(3), capacity=2), made(built, local(4))
    for _ in range(2):
        placed(built, full["id"], registered(built))
    desk = built.api(Role.FRONT_DESK)

    def ids(**asked: Any) -> list[str]:
        return [one["id"] for one in ok(desk.get("classes", asked))["results"]]

    assert ids() == [full["id"], free["id"]]
    assert ids(with_free_places="true") == [free["id"]]
    assert ids(with_free_places="false") == [full["id"]]
    assert ids(**{"from": local(4)[:10]}) == [free["id"]]
    assert ids(to=local(3)[:10]) == [full["id"]]
    assert ids(facility_id=str(built.west.pk)) == []


def test_day_sheet_names_the_class_of_each_client(built: Built) -> None:
    group = made(built)
    placed(built, group["id"], registered(built))
    book(built, registered(built), local(3, 15))
    sheet = ok(
        built.api(Role.FRONT_DESK).get(
            "day-sheet", {"facility_id": str(built.east.pk), "day": group["local_date"]}
        )
    )
    assert [one.get("class") for one in sheet["sessions"]] == ["Strength and balance", None]


def test_opening_a_place_warns_of_no_overlap_with_its_class(built: Built) -> None:
    group = made(built, (clock.now() + timedelta(minutes=5)).isoformat())
    places = [placed(built, group["id"], open_client(built))["session"]["id"] for _ in range(2)]
    desk = built.api(Role.FRONT_DESK)
    for one in places:
        ok(desk.post(f"sessions/{one}/arrival", WELL, key=key()))
    opened = ok(built.api(Role.PRACTITIONER).post(f"sessions/{places[0]}/opening", {}))
    told = {opened["reason_texts"][str(one)]["code"] for one in opened["opening_warnings"]}
    assert "overlaps_practitioner" not in told


def test_a_class_on_a_closed_day_asks_why(built: Built) -> None:
    closed = {"facility_id": str(built.east.pk), "first_day": local(3)[:10], "reason": "Snow."}
    ok(built.api(Role.OWNER).post("closures", closed), 201)
    desk = built.api(Role.FRONT_DESK)
    problem = refused(desk.post("classes", class_body(built), key=key()))
    assert problem["code"] == "closed_then"
    group = made(built, overrule="The hall next door is open.")
    assert "overruled" in group
    placed(built, group["id"], registered(built))
