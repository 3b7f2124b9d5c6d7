"""Treatment goals and home exercise over HTTP: what stands, in whose words, with fixed ids."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any
from uuid import uuid4

import pytest

from practice.clock import clock
from practice.core.terms import Role
from sessions.measurements.serializers.readings import GoalInputSerializer
from tests.api.prepared import NOW, Prepared
from tests.builders import ok, refused
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def p() -> Iterator[Prepared]:
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        yield Prepared(stack)


def post(p: Prepared, path: str, body: Any) -> Any:
    return p.post(f"clients/{p.id('client')}/{path}", body, Role.PRACTITIONER)


def test_a_goal_keeps_its_id_and_number_whatever_reviews_make_of_it(p: Prepared) -> None:
    measured = post(p, "goals", GoalInputSerializer.example)
    goal = post(
        p,
        "treatment-goals",
        {"text": "reaches the shelf", "words": "my dishes", "measured_by": [measured["id"]]},
    )
    path = f"treatment-goals/{goal['id']}"
    changed = {"text": "reaches the middle shelf", "words": "the middle one would do"}
    post(
        p,
        f"{path}/reviews",
        {"outcome": "changed", "reason": "too high", "changed_to": changed},
    )
    post(p, f"{path}/reviews", {"outcome": "met", "words": "I did it"})
    post(p, "treatment-goals", {"text": "sleeps through"})
    reader = p.api(Role.OWNER)
    first, second = ok(reader.get(f"clients/{p.id('client')}/treatment-goals"))["results"]
    assert (first["id"], first["number"], first["status"]) == (goal["id"], 1, "met")
    assert (first["text"], first["words"]) == (changed["text"], changed["words"])
    assert first["agreed_on"]["words"] == "my dishes"
    assert first["agreed_on"]["measured_by"] == [measured["id"]]
    assert [one["outcome"] for one in first["reviews"]] == ["changed", "met"]
    assert first["reviews"][1]["words"] == "I did it"
    assert second["number"] == 2
    refused(
        p.api(Role.FRONT_DESK).get(f"clients/{p.id('client')}/treatment-goals"), 403, "forbidden"
    )


def test_home_exercise_is_reported_in_the_clients_words_and_of_their_own_exercise(
    p: Prepared,
) -> None:
    exercise = p.id("home_exercise")
    made = post(
        p, f"home-exercises/{exercise}/reports", {"followed": "not_done", "words": "no time"}
    )
    (shown,) = ok(p.api(Role.OWNER).get(f"clients/{p.id('client')}/home-exercise-reports"))[
        "results"
    ]
    assert (shown["id"], shown["followed"], shown["words"]) == (made["id"], "not_done", "no time")
    assert shown["name"]
    post(p, f"home-exercise-reports/{made['id']}/in-error", {"reason": "another client"})
    assert post(p, f"home-exercises/{exercise}/reports", {"followed": "partly"})["id"] != made["id"]
    other = open_client(p.built)
    path = f"clients/{other}/home-exercises/{exercise}/reports"
    hands = p.api(Role.PRACTITIONER)
    refused(hands.post(path, {"followed": "partly"}), 404, "not_found")
    found = ok(
        hands.get(
            f"clients/{p.id('client')}/home-exercise-reports", {"home_exercise_id": str(uuid4())}
        )
    )
    assert found["results"] == []
