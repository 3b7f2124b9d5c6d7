"""Units that touch two clients and two practitioners in opposite order: no circle of waiting.

The controls lift the product's own order, of the heads or of the places, and the same two
units do end in a deadlock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any
from unittest import mock
from uuid import UUID

import pytest
from django.db import OperationalError

from clients.identity.domain.state import IDENTITY
from practice.core.terms import Credential, Role
from practice.eventstore import store
from practice.people_and_places.locks import PlaceLocks
from practice.work.locks import Locks
from practice.work.unit_of_work import Decision, Outcome, unit_of_work
from tests.builders import Built, build_practice, practitioner
from tests.eventstore.test_races import together
from tests.races.lifted import ROUNDS, UnorderedPlaces, shown_within_rounds
from tests.races.meeting import Meeting
from tests.sessions.people import consent, registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]


@pytest.fixture
def built() -> Built:
    return build_practice()


class Pairs:
    """Two units of work, each over two clients and two practitioners, named in its own order."""

    def __init__(self, built: Built, *, shared_clients: bool) -> None:
        self.actor = built.actor(Role.OWNER)
        first = [registered(built), registered(built)]
        other = first[::-1] if shared_clients else [registered(built), registered(built)]
        self.clients = (first, other)
        people = [
            practitioner(f"{n:03} Therapist", Credential.MASSAGE_THERAPIST, built.east).pk
            for n in range(2)
        ]
        self.people = (people, people[::-1])

    def at_once(self, places: Callable[[Sequence[UUID]], Any]) -> list[Any]:
        def attempt(number: int) -> list[Outcome]:
            clients = self.clients[number]
            with unit_of_work(actor=self.actor, request_id="race") as uow:
                uow.lock(*clients, places=places(self.people[number]))
                return uow.execute_all(
                    [Decision(one, (IDENTITY,), lambda _s, _c: [consent()]) for one in clients]
                )

        return together(attempt, 2)


def unordered_heads(meeting: Meeting) -> Callable[[Locks, Iterable[UUID]], bool]:
    """Locks one head after another as they were named; after the first the two meet."""

    def lock_heads(self: Locks, client_ids: Iterable[UUID]) -> bool:
        for one in client_ids:
            if one not in self.heads:
                self.heads.update(store.lock_heads([one]))
                meeting.wait()
        return True

    return lock_heads


def failed(results: Sequence[Any]) -> list[Exception]:
    return [one for one in results if isinstance(one, Exception)]


def ends_in_deadlock(results: Sequence[Any]) -> bool:
    """Whether the round ended in a deadlock; any other failure is none of this test's."""
    errors = failed(results)
    assert all(isinstance(one, OperationalError) for one in errors), errors
    assert all("deadlock" in str(one) for one in errors), errors
    return bool(errors)


@pytest.mark.parametrize("shared_clients", [True, False])
def test_units_in_opposite_order_never_wait_in_a_circle(built: Built, shared_clients: bool) -> None:
    pairs = Pairs(built, shared_clients=shared_clients)
    for _ in range(ROUNDS):
        assert not failed(pairs.at_once(PlaceLocks))


def test_heads_locked_as_they_are_named_end_in_a_deadlock(built: Built) -> None:
    pairs, meeting = Pairs(built, shared_clients=True), Meeting()
    with mock.patch.object(Locks, "lock_heads", unordered_heads(meeting)):
        shown_within_rounds(lambda _: ends_in_deadlock(pairs.at_once(PlaceLocks)), meeting)


def test_places_locked_as_they_are_named_end_in_a_deadlock(built: Built) -> None:
    pairs, meeting = Pairs(built, shared_clients=False), Meeting()
    unordered = partial(UnorderedPlaces, meeting)
    shown_within_rounds(lambda _: ends_in_deadlock(pairs.at_once(unordered)), meeting)
