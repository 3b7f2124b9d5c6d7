"""A class's title and number of places over HTTP, and who waits for what comes free of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.policy.models import SettingChange
from sessions.booking.domain.commands import Slot
from sessions.booking.services.conflicts import near_sessions
from sessions.calendar.models import ExerciseClass
from tests.builders import Built, at, ok, refused
from tests.sessions.booking.http import key
from tests.sessions.groups.http import act, made, placed, read
from tests.sessions.people import open_client, registered
from tests.sessions.series.http import NOW, held_practice, send, start
from tests.sessions.waiting_list.http import answer, call_off, waits

pytestmark = pytest.mark.django_db
DAY = "2026-03-17"
TEN = start(DAY, "10:00")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def change(built: Built, group: dict[str, Any], revision: int | None = None, **sent: Any) -> Any:
    seen = read(built, group["id"])["revision"] if revision is None else revision
    path = f"classes/{group['id']}"
    return built.api(Role.FRONT_DESK).patch(path, sent, match=seen)


def first(answered: dict[str, Any]) -> list[str]:
    return [one["client_id"] for one in answered["waiting_fits"]["first"]]


def test_title_and_places_change_and_what_stood_before_is_kept(built: Built) -> None:
    group = made(built, TEN)
    changed = ok(change(built, group, title="Balance", capacity=5))
    assert (changed["title"], changed["capacity"], changed["places_free"]) == ("Balance", 5, 5)
    assert changed["starts_at"] == group["starts_at"]
    row = SettingChange.objects.order_by("-pk").first()
    assert row is not None
    assert (row.before["title"], row.after["title"]) == (group["title"], "Balance")
    refused(change(built, group, group["revision"], title="Strength"), 412, "stale_version")
    blind = built.api(Role.FRONT_DESK).patch(f"classes/{group['id']}", {"title": "Strength"})
    refused(blind, 428, "version_required")


@pytest.mark.parametrize(("capacity", "status"), [(3, 200), (2, 200), (1, 400), (41, 400)])
def test_a_class_has_as_many_places_as_are_taken_at_least(
    built: Built, capacity: int, status: int
) -> None:
    """Two are taken; a group is two or more, and the practice's own limit is the most."""
    group = made(built, TEN, capacity=4)
    for _ in range(2):
        placed(built, group["id"], registered(built))
    assert change(built, group, capacity=capacity).status_code == status


def test_fewer_places_than_are_taken_are_refused(built: Built) -> None:
    group = made(built, TEN, capacity=4)
    for _ in range(3):
        placed(built, group["id"], registered(built))
    problem = refused(change(built, group, capacity=2), 409, "places_taken")
    assert problem["places_taken"] == 3
    assert read(built, group["id"])["capacity"] == 4
    assert ok(change(built, group, capacity=3))["places_free"] == 0


def test_what_is_called_off_or_over_stays_as_it_was(built: Built) -> None:
    group = made(built, TEN)
    ends = ExerciseClass.objects.get().ends_at
    with clock.at(ends - timedelta(minutes=1)):
        ok(change(built, group, capacity=4))
    with clock.at(ends):
        refused(change(built, group, capacity=5), 409, "class_over")
    ok(act(built, group["id"], "cancellation", reason="Too few came forward."))
    refused(change(built, group, title="Balance"), 409, "class_cancelled")


def full_class(built: Built, **changes: Any) -> tuple[dict[str, Any], str]:
    """A class of two, both taken; and the session of one of them."""
    group = made(built, TEN, capacity=2, **changes)
    sessions = [placed(built, group["id"], registered(built))["session"]["id"] for _ in range(2)]
    return group, sessions[0]


def test_a_freed_place_prompts_who_waits_in_order_and_is_offered_and_booked(built: Built) -> None:
    group, session = full_class(built)
    second, waiting = open_client(built), open_client(built)
    with clock.at(NOW + timedelta(minutes=2)):
        waits(built, second, minutes=30)
    with clock.at(NOW + timedelta(minutes=1)):
        entry = waits(built, waiting, minutes=45)
    waits(built, open_client(built), minutes=60)  # The class is shorter.
    waits(built, open_client(built), minutes=45, purpose="evaluation")
    answered = call_off(built, session)
    assert first(answered) == [str(waiting), str(second)]
    fit = answered["waiting_fits"]["first"][1]
    assert (fit["starts_at"], fit["ends_at"]) == (group["starts_at"], group["ends_at"])
    assert fit["mode"] == "self_directed"
    desk = built.api(Role.FRONT_DESK)
    for named in ({"free_session_id": session}, {"class_id": group["id"]}):
        found = ok(desk.get("waiting-fits", named))["results"]
        assert [one["client_id"] for one in found] == [str(waiting), str(second)]
    offers = f"waiting-list/{entry['id']}/offers"
    offered = ok(desk.post(offers, {"free_session_id": session}), 201)
    assert offered["offers"][0]["class_id"] == group["id"]
    booked = ok(answer(built, entry["id"], "acceptance"), 201)
    assert (booked["class_id"], booked["client_id"]) == (group["id"], str(waiting))
    assert (booked["requested_mode"], booked["ends_at"]) == ("self_directed", group["ends_at"])
    assert read(built, group["id"])["places_free"] == 0
    assert ok(desk.get("waiting-fits", {"class_id": group["id"]}))["results"] == []
    other = desk.get("waiting-list", {"client_id": str(second)})
    path = f"waiting-list/{ok(other)['results'][0]['id']}/offers"
    refused(desk.post(path, {"class_id": group["id"]}), 409, "class_full")


def test_a_place_of_a_class_that_moved_is_not_booked_as_it_was_offered(built: Built) -> None:
    group, session = full_class(built)
    entry = waits(built, open_client(built), minutes=45)["id"]
    call_off(built, session)
    offers = f"waiting-list/{entry}/offers"
    ok(built.api(Role.FRONT_DESK).post(offers, {"class_id": group["id"]}), 201)
    ok(act(built, group["id"], "move", starts_at=start(DAY, "11:00"), reason="Painted."))
    refused(answer(built, entry, "acceptance"), 409, "class_moved_since")
    ok(built.api(Role.FRONT_DESK).post(offers, {"class_id": group["id"]}), 201)
    booked = ok(answer(built, entry, "acceptance"), 201)
    assert booked["starts_at"] == start(DAY, "11:00")


def test_places_that_are_added_prompt_who_waits_and_a_title_does_not(built: Built) -> None:
    group, waiting = made(built, TEN), open_client(built)
    waits(built, waiting, minutes=45)
    assert first(ok(change(built, group, title="Balance"))) == []
    assert first(ok(change(built, group, capacity=2))) == []
    assert first(ok(change(built, group, capacity=3))) == [str(waiting)]


@pytest.mark.parametrize(
    ("what", "sent"),
    [("cancellation", {}), ("move", {"starts_at": start("2026-03-18", "10:00")})],
)
def test_a_class_that_is_off_or_moved_frees_its_time_for_a_session_alone(
    built: Built, what: str, sent: dict[str, Any]
) -> None:
    group, waiting = made(built, TEN), open_client(built)
    waits(built, waiting, minutes=45)
    answered = ok(act(built, group["id"], what, reason="Painted.", **sent))
    assert first(answered) == [str(waiting)]
    assert answered["waiting_fits"]["first"][0]["starts_at"] == TEN
    assert answered["waiting_fits"]["first"][0]["mode"] == "hands_on"


def test_a_class_is_seen_by_what_is_booked_near_it_and_sees_it(built: Built) -> None:
    """Buffers of a kind and the way between places: a class is no less a session."""
    kind = {"name": "Manual", "purpose": "treatment", "default_minutes": 60, "buffer_after": 15}
    kind_id = ok(built.api(Role.OWNER).post("session-kinds", kind), 201)["id"]
    made(built, TEN)
    body = {
        "client_id": str(open_client(built)),
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "starts_at": start(DAY, "08:55"),
        "kind_id": kind_id,
    }
    session = ok(send(built, "sessions", body), 201)
    assert "buffer" in [one["code"] for one in session["warnings"]]
    another = {**body, "starts_at": start("2026-03-18", "08:45")}
    early = ok(built.api(Role.FRONT_DESK).post("sessions", another, key=key()), 201)
    assert early["ends_at"] == start("2026-03-18", "09:45")
    made_then = made(built, start("2026-03-18", "09:50"))
    assert "buffer" in [one["code"] for one in made_then["warnings"]]
    assert "buffer" not in [
        one["code"] for one in made(built, start("2026-03-18", "14:00"))["warnings"]
    ]


def test_many_places_of_one_class_are_one_neighbour(built: Built) -> None:
    group = made(built, TEN)
    for _ in range(3):
        placed(built, group["id"], registered(built))
    before = at(TEN)
    slot = Slot(
        practitioner_id=built.practitioners[Credential.PHYSICAL_THERAPIST].pk,
        credential=Credential.PHYSICAL_THERAPIST,
        facility_id=built.east.pk,
        room_id=None,
        starts_at=before - timedelta(minutes=60),
        ends_at=before,
        zone=group["zone"],
    )
    assert [str(one.session_id) for one in near_sessions(slot, None)] == [group["id"]]
    assert near_sessions(replace(slot, class_id=UUID(group["id"])), None) == []
