"""What of billing stands open is said before a record is erased."""

from __future__ import annotations

import pytest

from billing.authorizations.selectors.open_business import open_billing_reasons
from practice.audit import hooks
from tests.billing.world import World

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def test_running_authorizations_waiting_units_and_uncovered_visits_are_open(world: World) -> None:
    assert open_billing_reasons(world.client_id) == []
    world.authorize(number="DONE", starts_on="2026-03-01", ends_on="2026-03-31")
    world.authorize(number="RUNS", starts_on="2026-04-01", ends_on="2190-12-31")
    world.sign(0)
    assert [one.code for one in open_billing_reasons(world.client_id)] == ["authorization_running"]
    world.sign(1, stretching=20, cardio=20)
    world.sign(2, stretching=4)
    found = {one.code: one.text for one in open_billing_reasons(world.client_id)}
    assert list(found) == ["authorization_running", "units_await_override", "visits_not_covered"]
    assert found["authorization_running"] == "Authorization RUNS runs until 2190-12-31."
    assert found["units_await_override"].startswith("1 visit is on billing's list")
    assert found["visits_not_covered"].startswith("1 visit is on billing's list")


def test_the_business_of_another_client_is_left_out_and_the_erasure_is_told(world: World) -> None:
    world.authorize(ends_on="2190-12-31")
    assert open_billing_reasons(world.register(world.built.east.pk)) == []
    assert "authorization_running" in [one.code for one in hooks.open_items(world.client_id)]


def test_the_erasure_is_told_each_fact_once(world: World) -> None:
    world.authorize(ends_on="2190-12-31")
    world.sign(0, stretching=20, cardio=20)
    told = [one.code for one in hooks.open_items(world.client_id)]
    assert told == ["authorization_running", "units_await_override"]
