"""A class that took place, in an outage say, is entered with who came and who did not."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Gender, Role
from sessions.calendar.models import ExerciseClass, Session
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.groups.http import act, ask_place, class_body, made, placed, read
from tests.sessions.groups.test_places import refused
from tests.sessions.people import open_client, prefers, registered, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def came(client: UUID, **answers: Any) -> dict[str, Any]:
    return {"client_id": str(client), "attendance": "attended", "answers": {**WELL, **answers}}


def missed(client: UUID) -> dict[str, Any]:
    return {"client_id": str(client), "attendance": "no_show"}


def enter(built: Built, *places: dict[str, Any], at: str = "", **changes: Any) -> Any:
    sent = class_body(built, at or local(-1), places=list(places), **changes)
    return built.api(Role.FRONT_DESK).post("classes", sent, key=key())


def entered(built: Built, *places: dict[str, Any], **changes: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(enter(built, *places, **changes), 201)
    return found


def codes(reasons: list[dict[str, Any]]) -> set[str]:
    return {one["code"] for one in reasons}


def test_each_client_has_a_session_of_that_day_and_a_note_can_follow(built: Built) -> None:
    one, two, three = open_client(built), open_client(built), registered(built)
    group = entered(built, came(one), came(two, new_symptoms=["chest_pain"]), missed(three))
    assert (group["places_taken"], group["places_free"]) == (2, 1)
    sessions = group["places"]
    assert [session["status"] for session in sessions] == ["arrived", "arrived", "no_show"]
    assert [session["mode"] for session in sessions[:2]] == ["self_directed", "not_today"]
    for session in sessions:
        assert (session["class_id"], session["late_entry"]) == (group["id"], True)
        assert session["local_date"] == local(-1)[:10]
    assert {place["client_id"] for place in read(built, group["id"])["places"]} == {
        str(one),
        str(two),
    }
    api = built.api(Role.PRACTITIONER)
    path = f"sessions/{sessions[0]['id']}/note"
    saved = api.patch(path, {"fields": {"subjective": "Went well."}, "device": "tablet"})
    assert saved.status_code != 409, saved.content


def test_a_past_time_without_places_says_how_a_class_is_entered(built: Built) -> None:
    answer = built.api(Role.FRONT_DESK).post("classes", class_body(built, local(-1)), key=key())
    problem = refused(answer, 400)
    assert "with `places`: who came, and who did not" in str(problem["errors"])
    assert not ExerciseClass.objects.exists()


@pytest.mark.parametrize(
    ("minutes", "status"),
    [(30, 400), (-1, 201), (-366 * 24 * 60 + 5, 201), (-366 * 24 * 60 - 5, 400)],
)
def test_it_began_already_and_not_too_long_ago(built: Built, minutes: int, status: int) -> None:
    at = (clock.now() + timedelta(minutes=minutes)).isoformat()
    answer = enter(built, missed(registered(built)), at=at)
    assert answer.status_code == status, answer.content
    assert ExerciseClass.objects.exists() is (status == 201)
    if status == 400:
        assert "A late entry" in answer.json()["errors"][0]["detail"]


def test_an_overlap_is_kept_and_said(built: Built) -> None:
    one, other = registered(built), registered(built)
    before = book(built, other, local(-1), attendance="attended")
    assert "overlaps" not in codes(entered(built, came(one), at=local(-2))["warnings"])
    group = entered(built, came(one))
    assert "overlaps" in codes(group["warnings"])
    assert [str(found) for found in Session.objects.get(pk=group["places"][0]["id"]).overlaps] == [
        before["id"]
    ]


def test_two_places_of_one_class_do_not_overlap_each_other(built: Built) -> None:
    group = entered(built, came(registered(built)), came(registered(built)))
    assert [session["overlaps"] for session in group["places"]] == [[], []]


def test_a_practitioner_against_the_preference_is_said(built: Built) -> None:
    client = open_client(built)
    tell(built, client, DatedEvent(prefers(Gender.MAN), clock.now() - timedelta(days=9)))
    (session,) = entered(built, came(client))["places"]
    assert "preference.all_work" in codes(session["warnings"])


def test_a_client_named_twice_or_more_than_its_places_is_refused_whole(built: Built) -> None:
    client = registered(built)
    assert "named twice" in str(refused(enter(built, came(client), missed(client)), 400))
    some = [missed(registered(built)) for _ in range(4)]
    assert "4 places are named" in str(refused(enter(built, *some), 400))
    assert not Session.objects.exists()
    assert not ExerciseClass.objects.exists()


def test_one_client_who_is_not_to_be_seen_refuses_all(built: Built) -> None:
    seen = registered(built)
    stranger = registered(built, built.west)
    assert enter(built, came(seen), came(stranger)).status_code == 404
    assert not ExerciseClass.objects.exists()


def test_the_same_class_is_not_entered_twice(built: Built) -> None:
    group = entered(built, came(registered(built)))
    problem = refused(enter(built, came(registered(built))))
    assert (problem["code"], problem["class_id"]) == ("class_on_record", group["id"])


def test_who_came_is_added_to_a_class_on_record(built: Built) -> None:
    group = entered(built, came(registered(built)), capacity=2)
    client = registered(built)
    shown = ok(ask_place(built, group["id"], client, attendance="attended", answers=WELL), 201)
    assert (shown["session"]["status"], shown["session"]["late_entry"]) == ("arrived", True)
    assert "class_over_full" not in codes(shown["session"]["warnings"])
    problem = refused(ask_place(built, group["id"], client, attendance="no_show"))
    assert (problem["code"], problem["session_id"]) == ("has_a_place", shown["session"]["id"])
    more = ok(ask_place(built, group["id"], registered(built), attendance="attended"), 201)
    assert "class_over_full" in codes(more["session"]["warnings"])
    assert (more["places_taken"], more["places_free"]) == (3, 0)


def test_nothing_was_by_hand_and_a_class_called_off_did_not_take_place(built: Built) -> None:
    group = entered(built, came(registered(built)))
    client = registered(built)
    asked = {"attendance": "attended", "requested_mode": "hands_on"}
    assert (
        refused(ask_place(built, group["id"], client, **asked))["code"] == "class_is_self_directed"
    )
    ExerciseClass.objects.update(is_cancelled=True)
    asked = {"attendance": "attended"}
    assert refused(ask_place(built, group["id"], client, **asked))["code"] == "class_cancelled"


def test_a_class_to_come_takes_no_attendance_and_answers_only_with_it(built: Built) -> None:
    group, client = made(built), registered(built)
    assert refused(ask_place(built, group["id"], client, attendance="attended"), 400)
    problem = refused(ask_place(built, group["id"], client, answers=WELL), 400)
    assert [one["field"] for one in problem["errors"]] == ["answers"]
    placed(built, group["id"], client)
    assert act(built, group["id"], "cancellation", reason="Too few.").status_code == 200
