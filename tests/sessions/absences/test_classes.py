"""Classes that an absence or a closure meets, those in which nobody has a place too."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, ok, refused
from tests.sessions.absences.http import (
    DAY,
    TEN,
    closed,
    marco,
    met,
    move_all,
    olga,
    paula,
    recorded,
)
from tests.sessions.booking.http import book, key
from tests.sessions.groups.http import act, made, placed
from tests.sessions.people import open_client, registered
from tests.sessions.series.http import NOW, held_practice, start

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def again(built: Built, row: dict[str, Any], role: Role = Role.FRONT_DESK) -> dict[str, Any]:
    kind = "absences" if "kind" in row else "closures"
    found: dict[str, Any] = ok(built.api(role).get(f"{kind}/{row['id']}"))["classes"]
    return found


def ids(classes: dict[str, Any]) -> list[str]:
    return [one["class_id"] for one in classes["first"]]


@pytest.mark.parametrize("off", [recorded, closed])
def test_a_class_without_places_is_named_with_when_and_where(built: Built, off: Any) -> None:
    group = made(built, TEN)
    made(built, start("2026-03-18", "10:00"))
    row = off(built)
    assert (row["classes"]["still_without"], row["classes"]["elsewhere"]) == (1, 0)
    (one,) = row["classes"]["first"]
    assert (one["class_id"], one["title"], one["starts_at"], one["places_taken"]) == (
        group["id"],
        "Strength and balance",
        TEN,
        0,
    )
    assert row["sessions"]["still_without"] == 0
    assert ids(again(built, row)) == [group["id"]]


def test_what_is_moved_called_off_made_all_the_same_or_of_others_is_not_named(
    built: Built,
) -> None:
    moved, off, led = made(built, TEN), made(built, start(DAY, "12:00")), start(DAY, "14:00")
    made(built, led, practitioner_id=olga(built))
    row = recorded(built)
    assert ids(row["classes"]) == [moved["id"], off["id"]]
    made(built, start(DAY, "16:00"), overrule="They come in for it.")
    ok(act(built, moved["id"], "move", practitioner_id=olga(built), reason="Paula is ill."))
    ok(act(built, off["id"], "cancellation", reason="Paula is ill."))
    assert again(built, row)["still_without"] == 0
    left = made(built, start("2026-03-18", "10:00"))
    lifted = recorded(built, first_day="2026-03-18")
    assert ids(lifted["classes"]) == [left["id"]]
    ok(built.api(Role.OWNER).post(f"absences/{lifted['id']}/lifting", {"reason": "Back."}))
    assert again(built, lifted)["still_without"] == 0


def test_a_part_of_a_day_meets_the_classes_that_share_time_with_it(built: Built) -> None:
    first, second = made(built, start(DAY, "10:00")), made(built, start(DAY, "11:00"))
    early = recorded(
        built, first_day=None, starts_at=start(DAY, "10:44"), ends_at=start(DAY, "11:00")
    )
    assert ids(early["classes"]) == [first["id"]]
    late = recorded(
        built, first_day=None, starts_at=start(DAY, "10:45"), ends_at=start(DAY, "11:01")
    )
    assert ids(late["classes"]) == [second["id"]]


def test_who_could_lead_it_is_there_and_free_and_leads_no_class_then(built: Built) -> None:
    made(built, TEN)
    names = {
        one["practitioner_id"] for one in recorded(built)["classes"]["first"][0]["free_colleagues"]
    }
    assert {olga(built), marco(built)} <= names
    assert paula(built) not in names
    made(built, start("2026-03-18", "10:00"))
    made(built, start("2026-03-18", "10:30"), practitioner_id=olga(built))
    book(built, registered(built), start("2026-03-18", "10:15"), practitioner_id=marco(built))
    (one,) = recorded(built, first_day="2026-03-18")["classes"]["first"]
    free = {who["practitioner_id"] for who in one["free_colleagues"]}
    assert not free & {olga(built), marco(built), paula(built)}


def test_a_colleague_who_leads_a_class_then_does_not_stand_in(built: Built) -> None:
    book(built, open_client(built), TEN)
    made(built, TEN, practitioner_id=olga(built))
    (one,) = recorded(built)["sessions"]["first"]
    named = {who["practitioner_id"] for who in (*one["stand_ins"], *one["left_out"])}
    assert olga(built) not in named


def test_at_a_closed_place_nobody_could_lead_it(built: Built) -> None:
    made(built, TEN)
    assert closed(built)["classes"]["first"][0]["free_colleagues"] == []


def test_a_place_says_that_it_goes_with_its_class(built: Built) -> None:
    group, client = made(built, TEN), open_client(built)
    session = placed(built, group["id"], client)["session"]["id"]
    row = recorded(built)
    assert row["classes"]["first"][0]["places_taken"] == 1
    (one,) = met(built, row)
    assert (one["session_id"], one["class_id"]) == (session, group["id"])
    alone = {"session_id": session, "practitioner_id": olga(built)}
    problem = refused(move_all(built, row, alone), 409, "none_moved")
    assert problem["outcomes"][0]["refusal"]["code"] == "place_in_a_class"
    revision = row["classes"]["first"][0]["revision"]
    sent = {"practitioner_id": olga(built), "reason": "Paula is ill."}
    path = f"classes/{group['id']}/move"
    ok(built.api(Role.FRONT_DESK).post(path, sent, key=key(), match=revision))
    assert met(built, row) == []
    assert again(built, row)["still_without"] == 0
