"""Fifty bookings of one time at one moment, on either engine: exactly one has it."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import timedelta
from typing import Any
from unittest import mock
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.localtime import EnteredTime
from practice.core.terms import Credential, Role
from practice.http.unavailable import unavailability_of
from practice.work.unit_of_work import unit_of_work
from sessions.booking.services import facts
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.booking.services.sessions import session_book
from sessions.calendar import guards
from sessions.calendar.models import Session
from tests.builders import Built, build_practice
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import refused
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db(transaction=True)
ATTEMPTS = 50


@pytest.fixture
def built() -> Built:
    return build_practice()


def rush(built: Built, clients: list[UUID]) -> list[Any]:
    """Every client wants the same hour of the same practitioner."""
    start = clock.now().replace(hour=15, minute=0, second=0, microsecond=0)

    def attempt(number: int) -> Any:
        request = BookRequest(
            client_id=clients[number],
            practitioner_id=built.practitioners[Credential.PHYSICAL_THERAPIST].pk,
            facility_id=built.east.pk,
            when=RequestedTime(
                starts_at=EnteredTime(instant=start + timedelta(days=364)), minutes=60
            ),
        )
        with unit_of_work(actor=built.actor(Role.OWNER), request_id="rush") as uow:
            return session_book(uow, command=request)

    return together(attempt, len(clients))


def test_of_fifty_bookings_of_one_time_exactly_one_succeeds(built: Built) -> None:
    clients = [registered(built) for _ in range(ATTEMPTS)]
    results = rush(built, clients)
    # On a slow machine the last of the queue are told to try again (503): that is no success.
    answered = [one for one in results if unavailability_of(one) is None]
    taken = refused(answered)
    assert set(taken) == {"time_taken"}
    assert len(answered) - len(taken) == 1
    assert Session.objects.count() == 1


def test_without_check_and_guard_more_than_one_of_fifty_has_the_time(built: Built) -> None:
    """The control: what stands between fifty clients and one hour is the product's own."""
    clients = [registered(built) for _ in range(ATTEMPTS)]
    with ExitStack() as lifted:
        lifted.enter_context(guards.session_guards_dropped())
        lifted.enter_context(no_row_locks())
        lifted.enter_context(mock.patch.object(facts, "find_conflicts", return_value=()))
        try:
            rush(built, clients)
            booked = Session.objects.count()
        finally:
            Session.objects.all().delete()
    assert booked > 1
