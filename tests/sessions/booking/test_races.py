"""Many bookings of one time at one moment: exactly one succeeds, and without the guard two do."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from unittest import mock
from uuid import UUID

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.clock import clock
from practice.core.localtime import EnteredTime
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Role
from practice.people_and_places.models.facilities import Room
from practice.people_and_places.models.practitioners import Practitioner
from practice.work.unit_of_work import unit_of_work
from sessions.booking.services import facts
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.booking.services.sessions import SessionCommandResult, session_book
from sessions.calendar import guards
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, practitioner
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import shown_within_rounds
from tests.races.meeting import before_writing
from tests.sessions.people import open_client, registered, tell

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
ATTEMPTS = 12
TODAY = clock.now().replace(hour=0, minute=0, second=0, microsecond=0)
"""Read once: at midnight those who book at one moment would mean two days."""


@pytest.fixture
def built() -> Built:
    return build_practice()


def book(built: Built, client_id: UUID, day: int, **place: Any) -> SessionCommandResult:
    values: dict[str, Any] = {
        "practitioner_id": built.practitioners[Credential.PHYSICAL_THERAPIST].pk,
        "facility_id": built.east.pk,
    }
    start = TODAY + timedelta(days=day, hours=15)
    request = BookRequest(
        client_id=client_id,
        when=RequestedTime(starts_at=EnteredTime(instant=start), minutes=60),
        **{**values, **place},
    )
    with unit_of_work(actor=built.actor(Role.OWNER), request_id="race") as uow:
        return session_book(uow, command=request)


class Rush:
    """Twelve clients, twelve practitioners and twelve rooms that rush for one time."""

    def __init__(self, built: Built) -> None:
        self.built = built
        self.clients = [registered(built) for _ in range(ATTEMPTS)]
        self.people: list[Practitioner] = [
            practitioner(f"{n:03} Therapist", Credential.MASSAGE_THERAPIST, built.east)
            for n in range(ATTEMPTS)
        ]
        self.rooms = [
            Room.objects.create(facility=built.east, name=f"Room {n}") for n in range(ATTEMPTS)
        ]

    def for_one(self, kind: str, day: int) -> list[Any]:
        """Everyone books at once; only the practitioner, the room or the client is shared."""

        def attempt(number: int) -> SessionCommandResult:
            shared = {kind: 0}
            who = shared.get("client", number)
            return book(
                self.built,
                self.clients[who],
                day,
                practitioner_id=self.people[shared.get("practitioner", number)].pk,
                room_id=self.rooms[shared.get("room", number)].pk,
            )

        return together(attempt, ATTEMPTS)


def refusals(results: list[Any]) -> list[Rejected]:
    assert not [r for r in results if isinstance(r, Exception) and not isinstance(r, Rejected)]
    return [one for one in results if isinstance(one, Rejected)]


@pytest.mark.parametrize("kind", ["practitioner", "room", "client"])
def test_of_many_bookings_of_one_time_exactly_one_succeeds(built: Built, kind: str) -> None:
    rush = Rush(built)
    for day in range(1, 4):
        refused = refusals(rush.for_one(kind, day))
        assert len(refused) == ATTEMPTS - 1
        assert {one.code for one in refused} == {"time_taken"}
        assert all(one.extra["taken"] == [kind] for one in refused)
    assert Session.objects.count() == 3


@contextmanager
def no_check() -> Iterator[None]:
    """The check under the locks sees nobody."""
    with mock.patch.object(facts, "find_conflicts", return_value=()):
        yield


def test_the_constraint_alone_lets_one_through_and_reads_as_a_taken_time(built: Built) -> None:
    rush = Rush(built)
    with no_row_locks(), no_check():
        rush.for_one("practitioner", 1)
        # The guard itself may end two that write at the same instant as a deadlock (503): the
        # time has somebody already, and so it has when all of them ask once more.
        assert Session.objects.count() == 1
        refused = refusals(rush.for_one("practitioner", 1))
    assert len(refused) == ATTEMPTS
    assert {one.code for one in refused} == {"time_taken"}
    assert Session.objects.count() == 1


def test_without_locks_and_constraint_a_time_is_booked_twice(built: Built) -> None:
    rush = Rush(built)

    def twice(number: int) -> bool:
        return len(refusals(rush.for_one("practitioner", number + 1))) < ATTEMPTS - 1

    with guards.session_guards_dropped(), no_row_locks(), before_writing() as meeting:
        try:
            shown_within_rounds(twice, meeting)
        finally:
            Session.objects.all().delete()


def test_a_booking_and_a_withdrawal_at_once_never_leave_an_unflagged_hands_on_session(
    built: Built,
) -> None:
    """One of the two waits at the client's head and decides on what the other wrote."""
    for day in range(1, 11):
        one = open_client(built)

        def attempt(number: int, one: UUID = one, day: int = day) -> Any:
            if number:
                return tell(built, one, ConsentWithdrawn(consent_id=None, reason=""))
            return book(built, one, day)

        assert refusals(together(attempt, 2)) == []
        row = Session.objects.get(client_id=one)
        assert row.mode == "self_directed"
        assert row.flagged is (row.planned_mode == "hands_on")


def test_two_bookings_that_want_each_others_place_never_wait_in_a_circle(built: Built) -> None:
    rush = Rush(built)

    def attempt(number: int) -> SessionCommandResult:
        other = (number + 1) % 2
        return book(
            built,
            rush.clients[number],
            1,
            practitioner_id=rush.people[number % 2].pk,
            room_id=rush.rooms[other if number < 6 else number % 2].pk,
        )

    refused = refusals(together(attempt, ATTEMPTS))
    assert {one.code for one in refused} == {"time_taken"}
    assert 1 <= Session.objects.count() <= 2
