"""What reactors looked up stands in the outcome of the decision that they answered."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain.events import ConsentWithdrawn
from practice.core.decisions import Context, Decided, States
from practice.core.events import Event
from practice.work.unit_of_work import Decision, Outcome, UnitOfWork
from sessions.reevaluation.services import FACTS_CHANGED
from tests.builders import build_practice
from tests.sessions.people import ALL_SITES, doing, not_today, open_client

pytestmark = pytest.mark.django_db


def always(events: list[Event]) -> Callable[[States, Context], Decided]:
    """A decision for these events, whatever stands."""
    return lambda _states, _ctx: events


def test_an_outcome_holds_what_was_looked_up_for_its_own_events() -> None:
    built = build_practice()
    client = open_client(built)

    def act(uow: UnitOfWork) -> list[Outcome]:
        facts: list[list[Event]] = [
            [ConsentWithdrawn(consent_id=None)],
            [not_today(*ALL_SITES)],
            [],
        ]
        return uow.execute_all([Decision(client, CLIENT_FACTS, always(some)) for some in facts])

    found = [one.lookups.get(FACTS_CHANGED.name, []) for one in doing(built, act)]
    assert [len(one) for one in found] == [1, 1, 0]
