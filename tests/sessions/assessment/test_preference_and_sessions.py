"""A stated preference tells what became of the booked sessions, as a change of consent does."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Credential, Role
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import book, key, local
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
NOT_WITH = "It may not be held with this practitioner: book another."


@pytest.fixture
def built() -> Built:
    return build_practice()


def prefer(built: Built, client: UUID, **stated: str) -> list[dict[str, Any]]:
    """What the answer says of each session."""
    path = f"clients/{client}/provider-preference"
    found: list[dict[str, Any]] = ok(built.api(Role.FRONT_DESK).put(path, stated))["sessions"]
    return found


def calls(built: Built, client: UUID) -> list[str]:
    shown = ok(built.api(Role.FRONT_DESK).get("call-list", {"client_id": str(client)}))
    return [one["text"].partition(" at 10:00 ")[2] for one in shown["results"]]


def alone(built: Built, client: UUID) -> dict[str, Any]:
    return book(built, client, local(4), requested_mode="self_directed")


def test_for_all_work_no_session_with_another_may_be_held(built: Built) -> None:
    client = open_client(built)
    first, second = book(built, client, local(3)), alone(built, client)
    found = prefer(built, client, gender="man")
    assert [one["session_id"] for one in found] == [first["id"], second["id"]]
    assert [(one["was"], one["now"]) for one in found] == [("all", "nothing"), ("nothing",) * 2]
    assert all(one["text"].endswith(NOT_WITH) for one in found)
    assert all("preference.all_work" in str(one["reasons"]) for one in found)
    assert (
        calls(built, client)
        == [
            "may not be held with Paula, by the client's own preference: book another practitioner."
        ]
        * 2
    )


def test_for_hands_on_work_it_is_less_and_may_be_held(built: Built) -> None:
    client = open_client(built)
    book(built, client, local(3))
    alone(built, client)
    found = prefer(built, client, gender="man", scope="hands_on_only")
    assert [(one["was"], one["now"]) for one in found] == [("all", "nothing"), ("nothing",) * 2]
    assert not any(NOT_WITH in one["text"] for one in found)
    assert calls(built, client) == ["narrowed since it was planned: nothing hands-on now."]


def test_an_agreed_exception_says_what_each_may_be_again(built: Built) -> None:
    client = open_client(built)
    book(built, client, local(3))
    prefer(built, client, gender="man")
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    agreed = {
        "practitioner_id": str(paula.pk),
        "agreed_how": "in person",
        "until": local(30)[:10],
    }
    path = f"clients/{client}/provider-preference/exceptions"
    (one,) = ok(built.api(Role.FRONT_DESK).post(path, agreed, key=key()), 201)["sessions"]
    assert (one["now"], one["may_be"]) == ("nothing", "all")
    assert NOT_WITH not in one["text"]
