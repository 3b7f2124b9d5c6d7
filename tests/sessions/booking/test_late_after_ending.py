"""What was so that day is entered although the place closed, or the practitioner left, since."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Credential, Role
from sessions.booking.domain.late_entry import Ended, EndedPlace, ended_reason
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import WELL, body, key, local
from tests.sessions.groups.http import ask_place, class_body
from tests.sessions.people import open_client

DAY = date(2026, 3, 6)
LATE = {"attendance": "attended", "answers": WELL}


@pytest.fixture
def built(db: None) -> Built:
    return build_practice()


def ends(built: Built, path: str) -> None:
    """The owner closes a facility or room, or someone leaves."""
    ok(built.api(Role.OWNER).change(path, {"is_active": False}))


def enter(built: Built, client: UUID, **changes: Any) -> Any:
    sent = body(built, client, local(-1), **{**LATE, **changes})
    return built.api(Role.FRONT_DESK).post("sessions", sent, key=key())


def codes(shown: dict[str, Any]) -> set[str]:
    return {one["code"] for one in shown["warnings"]}


@pytest.mark.parametrize(
    ("what", "code"),
    [
        ("facilities", "facility_closed_for_good"),
        ("practitioners", "practitioner_left"),
        ("rooms", "room_out_of_use"),
    ],
)
def test_a_late_entry_is_kept_and_says_what_ended_since(built: Built, what: str, code: str) -> None:
    client = open_client(built)
    room = built.rooms["East 1"].pk
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    named = {
        "facilities": f"facilities/{built.east.pk}",
        "practitioners": f"practitioners/{paula}",
        "rooms": f"rooms/{room}",
    }
    before = ok(enter(built, client, room_id=str(room)), 201)
    assert code not in codes(before)
    ends(built, named[what])
    shown = ok(enter(built, client, room_id=str(room)), 201)
    assert (shown["late_entry"], shown["status"]) == (True, "arrived")
    (said,) = [one["text"] for one in shown["warnings"] if one["code"] == code]
    assert f"since {local(0)[:10]}" in said, "the day is known"
    ahead = body(built, client, local(3), room_id=str(room))
    refusal = built.api(Role.FRONT_DESK).post("sessions", ahead, key=key())
    assert refusal.status_code == 400, "nothing to come is booked there"


def test_a_kind_that_is_not_offered_any_more_was_offered_then(built: Built) -> None:
    owner, client = built.api(Role.OWNER), open_client(built)
    kind = {"name": "Hour", "purpose": "treatment", "default_minutes": 60, "lengths": [60]}
    made = ok(owner.post("session-kinds", kind), 201)
    ends(built, f"session-kinds/{made['id']}")
    shown = ok(enter(built, client, kind_id=made["id"]), 201)
    assert shown["kind_name"] == "Hour"
    assert "kind_out_of_use" in codes(shown)


def test_a_late_class_and_its_places_are_kept_too(built: Built) -> None:
    client, other = open_client(built), open_client(built)
    ends(built, f"facilities/{built.east.pk}")
    ends(built, f"practitioners/{built.practitioners[Credential.PHYSICAL_THERAPIST].pk}")
    desk, place = built.api(Role.FRONT_DESK), {"client_id": str(client), **LATE}
    group = ok(desk.post("classes", class_body(built, local(-1), places=[place]), key=key()), 201)
    both = {"facility_closed_for_good", "practitioner_left"}
    assert both <= codes(group)
    assert both <= codes(group["places"][0])
    more = ok(ask_place(built, group["id"], other, **LATE), 201)["session"]
    assert both <= codes(more)
    assert desk.post("classes", class_body(built, local(3)), key=key()).status_code == 400


def test_what_never_was_is_refused_all_the_same(built: Built) -> None:
    client = open_client(built)
    for wrong in (
        {"practitioner_id": str(client)},
        {"room_id": str(built.rooms["West 1"].pk)},
    ):
        assert enter(built, client, **wrong).status_code == 400


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (None, "see that it is right for that day"),
        (DAY, "it is entered as it was"),
        (date(2026, 3, 7), "it is entered as it was"),
        (date(2026, 3, 5), "which is before that day"),
    ],
)
def test_the_warning_says_whether_it_ended_before_or_after(on: date | None, said: str) -> None:
    for what in Ended:
        reason = ended_reason(EndedPlace(what, on), DAY)
        assert (reason.code, said in reason.text) == (what.value, True)
