"""A change of touch consent tells what became of the booked sessions (rulings 9, 28, 46, 48)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from unittest.mock import patch
from uuid import UUID

import pytest

from clients.permissions.domain import evaluation
from clients.permissions.domain.results import HandsOnExtent
from practice.clock import clock
from practice.core.terms import Region, Role, Technique
from sessions.reevaluation.domain.told import extent_text
from tests.builders import Api, Built, at, build_practice, ok
from tests.sessions.booking.http import body, key, local
from tests.sessions.people import healed_mastectomy, open_client, registered, reviewed, tell

pytestmark = pytest.mark.django_db
WHOLE: dict[str, Any] = {
    "regions": [{"region": one.value, "side": "both"} for one in Region],
    "techniques": [one.value for one in Technique],
    "form": "paper",
    "signed_on": "2026-03-02",
    "language": "en",
}


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


def book(desk: Api, built: Built, client: UUID, days: int) -> str:
    sent = body(built, client, local(days))
    return str(ok(desk.post("sessions", sent, key=key()), 201)["id"])


def told(answer: dict[str, Any]) -> list[tuple[str, str, str, bool]]:
    return [
        (one["session_id"], one["was"], one["now"], one["changed"]) for one in answer["sessions"]
    ]


def test_a_withdrawal_names_each_booked_session_and_what_it_is_now(built: Built, desk: Api) -> None:
    client = open_client(built)
    later, sooner = book(desk, built, client, 5), book(desk, built, client, 3)
    path = f"clients/{client}/touch-consent"
    answer = ok(desk.post(f"{path}/withdrawal", {}))
    assert told(answer) == [(sooner, "all", "nothing", True), (later, "all", "nothing", True)]
    first = answer["sessions"][0]
    assert first["starts_at"] == local(3)
    assert first["text"] == "It was all hands-on, is nothing hands-on now."
    assert {one["code"] for one in first["reasons"]} == {"consent.withdrawn"}


def test_a_withdrawal_of_a_part_says_part_and_what_is_said_twice_says_as_it_stands(
    built: Built, desk: Api
) -> None:
    client = open_client(built)
    session = book(desk, built, client, 3)
    path = f"clients/{client}/touch-consent/withdrawal"
    part = {"regions": [{"region": "arm", "side": "left"}]}
    answer = ok(desk.post(path, part))
    assert told(answer) == [(session, "all", "part", True)]
    again = ok(desk.post(path, part))
    assert again["version"] == answer["version"], "nothing was written"
    assert told(again) == [(session, "part", "part", False)]
    assert "consent.narrowed" in {one["code"] for one in again["sessions"][0]["reasons"]}
    row = ok(desk.get(f"sessions/{session}"))
    assert row["hands_on"] == "part", "what is told is what stands"


def test_a_new_consent_turns_nothing_hands_on_by_itself_and_says_what_may_be(
    built: Built, desk: Api
) -> None:
    """Ruling 28: a plan made self-directed stays so until a person plans anew."""
    client = registered(built)
    tell(built, client, reviewed())
    session = book(desk, built, client, 3)
    answer = ok(desk.post(f"clients/{client}/touch-consent", WHOLE), 201)
    assert told(answer) == [(session, "nothing", "nothing", False)]
    (one,) = answer["sessions"]
    assert one["may_be"] == "all"
    assert one["text"] == (
        "It stays nothing hands-on. It may be all hands-on if it is planned anew."
    )
    anew = {"requested_mode": "hands_on", "reason": "consent given"}
    moved = ok(desk.post(f"sessions/{session}/move", anew, key=key()))
    assert moved["hands_on"] == "all"


def test_a_refusal_tells_too_and_a_confirmation_gives_what_may_be_back(
    built: Built, desk: Api
) -> None:
    client = registered(built)
    tell(built, client, reviewed())
    path = f"clients/{client}/touch-consent"
    eleven = {**WHOLE, "occurred_at": "2026-03-02T11:00:00-05:00"}
    ok(desk.post(path, eleven), 201)
    session = book(desk, built, client, 3)
    declined = ok(desk.post(f"{path}/refusal", {"occurred_at": "2026-03-02T10:00:00-05:00"}))
    assert told(declined) == [(session, "all", "nothing", True)]
    (asked,) = (one for one in declined["grants"] if one["can_be_confirmed"])
    confirmed = ok(desk.post(f"{path}/confirmation", {"consent_id": asked["consent_id"]}))
    assert told(confirmed) == [(session, "nothing", "nothing", False)]
    assert confirmed["sessions"][0]["may_be"] == "all"


def test_sessions_that_are_over_or_cancelled_are_not_told(built: Built, desk: Api) -> None:
    client = open_client(built)
    gone = book(desk, built, client, 4)
    ok(desk.post(f"sessions/{gone}/cancellation", {"by": "client", "reason": "away"}, key=key()))
    assert ok(desk.post(f"clients/{client}/touch-consent/withdrawal", {}))["sessions"] == []


def test_a_cancelled_session_is_not_told_when_nothing_was_judged(built: Built, desk: Api) -> None:
    client = open_client(built)
    gone = book(desk, built, client, 4)
    path = f"clients/{client}/touch-consent/withdrawal"
    ok(desk.post(path, {}))
    ok(desk.post(f"sessions/{gone}/cancellation", {"by": "client", "reason": "away"}, key=key()))
    assert ok(desk.post(path, {}))["sessions"] == [], "said again: nothing was judged"


def test_no_session_is_judged_a_second_time_for_the_answer(built: Built, desk: Api) -> None:
    client = open_client(built)
    for days in (3, 4):
        book(desk, built, client, days)
    with patch(
        "sessions.assessment.domain.assessment.evaluate", wraps=evaluation.evaluate
    ) as judged:
        ok(desk.post(f"clients/{client}/touch-consent/withdrawal", {}))
    assert judged.call_count == 2, "each booked session once, by the reactor"


def test_a_desk_reads_no_health_reason_in_it(built: Built, desk: Api) -> None:
    client = registered(built)
    tell(built, client, reviewed(operations=(healed_mastectomy(20),)))
    book(desk, built, client, 3)
    answer = ok(desk.post(f"clients/{client}/touch-consent", WHOLE), 201)
    codes = {one["code"] for one in answer["sessions"][0]["reasons"]}
    assert codes == {"health"}


@pytest.mark.parametrize(
    ("was", "now", "may_be", "text"),
    [
        ("all", "all", "all", "It stays all hands-on."),
        ("all", "part", "part", "It was all hands-on, is part hands-on now."),
        (
            "part",
            "part",
            "all",
            "It stays part hands-on. It may be all hands-on if it is planned anew.",
        ),
        ("part", "part", "nothing", "It stays part hands-on."),
    ],
)
def test_what_became_of_a_session_in_words(was: str, now: str, may_be: str, text: str) -> None:
    assert extent_text(HandsOnExtent(was), HandsOnExtent(now), HandsOnExtent(may_be)) == text
