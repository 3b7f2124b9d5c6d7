"""Who pays on a day: what a payer asks of supervision is judged by it."""

from __future__ import annotations

from datetime import date

import pytest

from billing.authorizations.selectors.payers_of_day import payers_of_day
from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from practice.work import loading
from practice.work.request_cache import caching
from sessions.assessment.selectors.assessor import SessionAssessor
from tests.billing.world import World
from tests.builders import ok

pytestmark = pytest.mark.django_db


def test_payers_of_the_days_of_an_authorization_until_it_is_voided() -> None:
    """Ruling 60: one entered in error never was."""
    world = World()
    made = world.authorize()
    days = (date(2026, 2, 28), date(2026, 3, 1), date(2026, 5, 31), date(2026, 6, 1))
    found = [payers_of_day(world.client_id, day) for day in days]
    assert found == [(), (world.payer.pk,), (world.payer.pk,), ()]
    with caching():
        states = loading.load_states(world.client_id, CLIENT_FACTS)
        assessor = SessionAssessor(world.client_id, client_facts(states))
        assert [assessor._payers(day) for day in days] == found, "each day has its own"
    voiding = {"reason": "of another client"}
    ok(world.desk.post(f"authorizations/{made['id']}/voiding", voiding))
    assert payers_of_day(world.client_id, days[1]) == ()
