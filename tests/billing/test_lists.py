"""Lists of billing cost the same statements however long they are."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.billing.practice_rows import payer
from tests.billing.world import World
from tests.builders import ok

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def statements(world: World, path: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        ok(world.billing.get(path))
    return len(caught)


@pytest.mark.parametrize("path", ["payers", "service-codes", "authorizations", "visits"])
def test_statements_of_a_list_do_not_grow_with_its_rows(world: World, path: str) -> None:
    world.authorize()
    world.sign(0)
    before = statements(world, path)
    for number in range(1, 6):
        payer(f"Payer {number}")
        world.authorize(number=f"PA-{number}")
        world.sign(number)
    assert len(ok(world.billing.get(path))["results"]) > 2
    assert statements(world, path) == before


def test_nor_of_the_summaries_of_a_client_of_several_authorizations(world: World) -> None:
    """Each is compared with the record, to tell what was corrected since it was sent."""
    path = f"clients/{world.client_id}/visit-summaries"
    counts = []
    for number in range(3):
        made = world.authorize(number=f"PA-{number}", coverage_order=number + 1)
        body = {"recipient": "Lakeshore claims", "purpose": "review", "no_visits": True}
        sent = f"authorizations/{made['id']}/visit-summary"
        ok(world.billing.post(sent, body, key=f"export-{number}"), 201)
        counts.append(statements(world, path))
    assert len(ok(world.billing.get(path))["results"]) == 3
    assert counts == [counts[0]] * 3
