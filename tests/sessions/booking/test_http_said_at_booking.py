"""Over HTTP: what a booking, a late entry and a correction say of slips."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Gender, Role
from practice.policy.models import PracticeSetting
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, body, book, key, local, took_place
from tests.sessions.people import open_client, prefers, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def codes(shown: dict[str, Any]) -> list[str]:
    return [one["code"] for one in shown["warnings"]]


def late(built: Built, client: Any, hour: int = 10) -> dict[str, Any]:
    """An hour of yesterday, entered as hands-on."""
    said = {"attendance": "attended", "answers": WELL, "requested_mode": "hands_on"}
    return book(built, client, local(-1, hour), **said)


def test_a_late_entry_after_a_withdrawal_says_what_it_contradicts(built: Built) -> None:
    client = open_client(built)
    assert "not_hands_on" not in codes(late(built, client))
    ago = clock.now() - timedelta(days=3)
    tell(built, client, DatedEvent(ConsentWithdrawn(consent_id=None), ago))
    sent = body(built, client, local(4), requested_mode="hands_on")
    refused(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "not_hands_on")
    made = late(built, client, 14)
    assert made["mode"] == "self_directed"
    assert {"not_hands_on", "consent.withdrawn"} <= set(codes(made))
    kept = ok(built.api(Role.FRONT_DESK).get(f"sessions/{made['id']}"))
    assert "not_hands_on" in codes(kept)


def test_a_late_entry_with_a_practitioner_against_the_preference_says_so(built: Built) -> None:
    client = open_client(built)
    tell(built, client, DatedEvent(prefers(gender=Gender.MAN), clock.now() - timedelta(days=3)))
    assert "preference.all_work" in codes(late(built, client))


def test_a_session_without_a_room_is_warned_where_all_are_taken(built: Built) -> None:
    people = [
        built.practitioners[one]
        for one in (
            Credential.PHYSICAL_THERAPIST,
            Credential.MASSAGE_THERAPIST,
            Credential.OCCUPATIONAL_THERAPIST,
        )
    ]
    rooms = [built.rooms["East 1"], built.rooms["East 2"]]
    first, second, third = (str(one.pk) for one in people)
    one = book(built, open_client(built), local(4), practitioner_id=first, room_id=str(rooms[0].pk))
    two = book(built, open_client(built), local(4), practitioner_id=second)
    assert "no_room_left" not in [*codes(one), *codes(two)]
    later = {"starts_at": local(4, 10, 15), "reason": "A quarter later."}
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{two['id']}/move"
    assert "no_room_left" not in codes(ok(desk.post(path, later, key=key())))
    three = book(built, open_client(built), local(4), practitioner_id=third)
    assert "no_room_left" in codes(three)
    rooms[1].is_active = False
    rooms[1].save()
    back = {"starts_at": local(4), "reason": "As it was."}
    assert "no_room_left" in codes(ok(desk.post(path, back, key=key())))


def test_a_booking_far_ahead_is_asked_about_its_year(built: Built) -> None:
    client = open_client(built)
    assert "far_ahead" not in codes(book(built, client, local(300)))
    assert "far_ahead" in codes(book(built, client, local(400)))
    PracticeSetting.objects.filter(group="calendar", key="far_ahead_months").update(value=24)
    assert "far_ahead" not in codes(book(built, client, local(401)))


def test_what_was_answered_by_a_slip_names_what_takes_it_back(built: Built) -> None:
    session = took_place(built, open_client(built), new_symptoms=["chest_pain"])
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}"
    sent = {"status": "booked", "reason": "It was another client."}
    problem = refused(desk.post(f"{path}/correction", sent, key=key()), 409, "red_flag_stands")
    assert f"POST /{path}/red-flag-clearance" in problem["detail"]
    assert "sends this correction" in problem["detail"]
