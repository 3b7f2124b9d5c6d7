"""A client asks what is on record: one request, a disclosure, and a page to hand over."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch
from uuid import uuid4

import pytest

from practice.accesslog.models import AccessEntry
from practice.core.terms import Role
from practice.policy.models import PracticeSetting
from tests.billing.world import World
from tests.builders import Api, ok, refused
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client, registered

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> World:
    found = World()
    found.client_id = open_client(found.built)
    return found


def asked(world: World, api: Api | None = None, **said: str) -> dict[str, Any]:
    path = f"clients/{world.client_id}/record-requests"
    made: dict[str, Any] = ok((api or world.owner).post(path, said, key=str(uuid4())), 201)
    return made


def allow_desk(world: World) -> None:
    row = PracticeSetting.objects.get(group="record_requests", key="roles")
    path = f"settings/{row.pk}"
    change = {"value": ["owner", "front_desk"], "citation": "practice policy"}
    ok(world.owner.change(path, change))


def test_what_was_on_record_is_given_and_logged_as_a_disclosure(world: World) -> None:
    """45 CFR 164.524 and 164.528."""
    made = asked(world, asked_by="guardian", purpose="wants to read it")
    (kept,) = ok(world.owner.get(f"clients/{world.client_id}/disclosures"))["results"]
    assert (kept["id"], kept["what"]) == (made["id"], "record_copy")
    assert (kept["recipient"], kept["purpose"]) == ("the guardian", "wants to read it")
    assert kept["sha256"] == {"json": made["sha256"]}
    given = ok(world.owner.get(made["record"]))
    assert given["as_given"] is True
    assert given["record"]["details"]["family_name"] == "Marsh"
    assert given["record"]["reviewed_history"] is not None
    entry = AccessEntry.objects.get(what="copy of the record")
    assert entry.client_id == world.client_id


def test_what_came_later_is_not_in_it(world: World) -> None:
    made = asked(world)
    book(world.built, world.client_id, local(3))
    given = ok(world.owner.get(made["record"]))
    assert given["as_given"] is True
    assert given["record"]["more"]["sessions"] == {}
    assert "A session on" not in world.owner.get(made["printout"]).content.decode()
    again = asked(world)
    assert again["sha256"] != made["sha256"]
    assert len(ok(world.owner.get(again["record"]))["record"]["more"]["sessions"]) == 1
    assert "A session on" in world.owner.get(again["printout"]).content.decode()


def test_a_record_that_is_told_otherwise_since_says_so(world: World) -> None:
    made = asked(world)
    told = "billing.record_requests.selectors.client_as_known"
    with patch(told, return_value={"details": None, "more": {}}):
        page = world.owner.get(made["printout"])
        assert page.status_code == 200
    from billing.record_requests import selectors

    with patch(told, side_effect=lambda *a, **k: {**_known(*a, **k), "orders": ["another"]}):
        copy = selectors.record_copy(world.client_id, made["id"])
        assert copy.as_given is False


def _known(*a: Any, **k: Any) -> dict[str, Any]:
    from clients.record.selectors import client_as_known

    return client_as_known(*a, **k)


def test_the_page_tells_each_event_in_a_sentence_and_escapes_what_was_typed(
    world: World,
) -> None:
    body = {"given_name": "R<b>osa", "family_name": "Marsh"}
    change = world.owner.change(f"clients/{world.client_id}", body)
    assert change.status_code == 200
    answer = world.owner.get(asked(world)["printout"])
    page = answer.content.decode()
    assert answer.headers["Content-Type"].startswith("text/html")
    assert "The client consented to touch" in page
    assert "R&lt;b&gt;osa" in page
    assert "R<b>osa" not in page


def test_the_desk_makes_it_only_where_the_practice_says_so(world: World) -> None:
    """Ruling 20: the desk reads no health reasons; a practice may let them make copies."""
    path = f"clients/{world.client_id}/record-requests"
    made = asked(world)
    refused(world.desk.post(path, {}, key=str(uuid4())), 403, "not_by_your_role")
    refused(world.desk.get(made["record"]), 403, "not_by_your_role")
    refused(world.desk.get(made["printout"]), 403, "not_by_your_role")
    assert len(ok(world.owner.get(f"clients/{world.client_id}/disclosures"))["results"]) == 1
    allow_desk(world)
    assert ok(world.desk.get(asked(world, world.desk)["record"]))["as_given"] is True
    assert world.built.api(Role.PRACTITIONER).post(path, {}, key="k").status_code == 403


def test_another_clients_request_is_not_found(world: World) -> None:
    made = asked(world)
    other = registered(world.built)
    refused(world.owner.get(f"clients/{other}/record-requests/{made['id']}"), 404, "not_found")
    world.authorize()
    assert (
        world.owner.get(f"clients/{world.client_id}/record-requests/{uuid4()}").status_code == 404
    )


def test_the_same_key_makes_one_disclosure(world: World) -> None:
    path, key = f"clients/{world.client_id}/record-requests", str(uuid4())
    first = ok(world.owner.post(path, {}, key=key), 201)
    assert ok(world.owner.post(path, {}, key=key), 201) == first
    assert world.owner.post(path, {}).status_code == 400
    assert len(ok(world.owner.get(f"clients/{world.client_id}/disclosures"))["results"]) == 1
