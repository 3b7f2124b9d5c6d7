"""Another birth date or guardian tells what became of the booked sessions, as consent does
(ruling 56)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Role
from sessions.calendar.models import Session
from tests.builders import Api, Built, at, build_practice, ok
from tests.sessions.assessment.test_consent_and_sessions import WHOLE, told
from tests.sessions.assessment.test_guardians_consent import GUARDIAN, MINOR, codes
from tests.sessions.booking.http import body, key
from tests.sessions.people import reviewed, tell

pytestmark = pytest.mark.django_db
RUTH = {"name": "Ruth Lind", "relation": "parent"}


@pytest.fixture(autouse=True)
def _noon() -> Iterator[None]:
    with clock.at(at("2026-03-02T12:00:00-05:00")):
        yield


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def desk(built: Built) -> Api:
    return built.api(Role.FRONT_DESK)


def client_with(built: Built, desk: Api, given: dict[str, Any], consent: dict[str, Any]) -> UUID:
    client = UUID(ok(desk.post("clients", given), 201)["id"])
    tell(built, client, reviewed())
    ok(desk.post(f"clients/{client}/touch-consent", consent), 201)
    return client


def booked(built: Built, desk: Api, client: UUID, *days: str) -> list[str]:
    return [
        ok(desk.post("sessions", body(built, client, f"{day}T10:00:00-04:00"), key=key()), 201)[
            "id"
        ]
        for day in days
    ]


def changed(desk: Api, client: UUID, **details: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(desk.change(f"clients/{client}", details))
    return found


def test_a_birth_date_put_right_says_which_sessions_narrowed_and_what_they_may_be_again(
    built: Built, desk: Api
) -> None:
    adult = {**MINOR, "birth_date": "1998-04-10"}
    client = client_with(built, desk, adult, WHOLE)
    later, sooner = booked(built, desk, client, "2026-03-20", "2026-03-10")
    answer = changed(desk, client, birth_date="2008-04-10")
    assert answer["birth_date"] == "2008-04-10"
    assert told(answer) == [(sooner, "all", "nothing", True), (later, "all", "nothing", True)]
    first = answer["sessions"][0]
    assert first["text"] == "It was all hands-on, is nothing hands-on now."
    assert "consent.minor" in codes(first["reasons"])
    found = ok(desk.get(f"sessions/{sooner}"))
    assert (found["hands_on"], found["flagged"]) == (first["now"], True), "one truth"
    back = changed(desk, client, birth_date="1998-04-10")
    assert told(back) == [(sooner, "nothing", "nothing", False), (later, *("nothing",) * 2, False)]
    assert {one["may_be"] for one in back["sessions"]} == {"all"}
    assert "if it is planned anew" in back["sessions"][0]["text"]
    asked = {"client_id": str(client), "reason": "The birth date was typed wrong."}
    assert ok(desk.post("session-replans", asked))["as_planned"] == 2


def test_a_guardian_added_ended_and_put_right_says_what_became_of_each_session(
    built: Built, desk: Api
) -> None:
    client = client_with(built, desk, MINOR, GUARDIAN)
    before, after = booked(built, desk, client, "2026-03-20", "2026-03-21")
    added = changed(desk, client, guardian=RUTH)
    assert told(added) == [(before, "all", "all", False), (after, "all", "all", False)]
    ended = changed(desk, client, guardian={**RUTH, "until": "2026-03-20"})
    assert told(ended) == [(before, "all", "all", False), (after, "all", "nothing", True)]
    assert codes(ended["sessions"][1]["reasons"]) == {"consent.expired"}
    right = changed(desk, client, guardian={**RUTH, "until": "2026-03-21"})
    assert told(right) == [(before, "all", "all", False), (after, "nothing", "nothing", False)]
    assert [one["may_be"] for one in right["sessions"]] == ["all", "all"]


def test_other_details_change_no_session_and_say_so(built: Built, desk: Api) -> None:
    client = client_with(built, desk, {**MINOR, "birth_date": "1998-04-10"}, WHOLE)
    (session,) = booked(built, desk, client, "2026-03-10")
    version = Session.objects.get(pk=session).version
    phone = changed(desk, client, phone="+1 415 555 0188")
    assert told(phone) == [(session, "all", "all", False)]
    assert Session.objects.get(pk=session).version == version
    again = changed(desk, client, phone="+1 415 555 0188")
    assert told(again) == told(phone), "as it stands, where nothing was written"
    assert "sessions" not in ok(desk.get(f"clients/{client}"))
