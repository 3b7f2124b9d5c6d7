"""Sessions that change places at one moment, and places whose locks are lifted."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import Any
from unittest import mock
from uuid import UUID

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.clock import clock
from practice.core.localtime import EnteredTime
from practice.core.terms import Credential, Role
from practice.people_and_places.models.facilities import Room
from practice.work.unit_of_work import unit_of_work
from sessions.booking.services import sessions as calendar
from sessions.booking.services.requests import MoveRequest, RequestedTime
from sessions.calendar import guards
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, practitioner
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import (
    UnorderedPlaces,
    broken,
    places_unlocked,
    refused,
    shown_within_rounds,
)
from tests.races.meeting import Meeting, before_writing
from tests.sessions.booking.test_races import Rush, book
from tests.sessions.people import open_client, registered, tell

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]


@pytest.fixture
def built() -> Built:
    return build_practice()


class Swap:
    """Two sessions of one hour that want each other's practitioner and room."""

    def __init__(self, built: Built) -> None:
        self.built = built
        self.clients = [registered(built), registered(built)]
        self.people = [
            practitioner(f"{n:03} Therapist", Credential.MASSAGE_THERAPIST, built.east).pk
            for n in range(2)
        ]
        self.rooms = [
            Room.objects.create(facility=built.east, name=f"Room {n}").pk for n in range(2)
        ]
        self.sessions = [
            book(built, one, 1, practitioner_id=who, room_id=room).session_id
            for one, who, room in zip(self.clients, self.people, self.rooms, strict=True)
        ]

    def move(self, which: int, *, hour: int | None = None) -> Any:
        """Into the other's place, or where ``hour`` is given to that hour of the day in it."""
        other = 1 - which
        day = clock.now().replace(minute=0, second=0, microsecond=0) + timedelta(days=1)
        when = None
        if hour is not None:
            instant = day.replace(hour=hour)
            when = RequestedTime(starts_at=EnteredTime(instant=instant), minutes=60)
        wish = MoveRequest(
            reason="they change places",
            practitioner_id=self.people[other],
            room_id=self.rooms[other],
            keep_room=False,
            when=when,
        )
        with unit_of_work(actor=self.built.actor(Role.OWNER), request_id="swap") as uow:
            return calendar.session_move(uow, session_id=self.sessions[which], command=wish)

    def at_once(self) -> list[Any]:
        return together(self.move, 2)


def double_bookings() -> list[tuple[UUID, UUID]]:
    """Sessions that hold one time with the same practitioner or room."""
    rows = list(Session.objects.filter(status="booked").order_by("pk"))
    return [
        (a.pk, b.pk)
        for a in rows
        for b in rows
        if a.pk < b.pk
        and a.starts_at < b.ends_at
        and b.starts_at < a.ends_at
        and (a.practitioner_id == b.practitioner_id or a.room_id == b.room_id)
    ]


def test_opposite_moves_wait_in_no_circle_and_neither_takes_a_taken_place(built: Built) -> None:
    swap = Swap(built)
    for _ in range(5):
        assert refused(swap.at_once()) == ["time_taken", "time_taken"]
    assert double_bookings() == []
    assert refused(together(lambda which: swap.move(which, hour=17 + which), 2)) == []
    assert double_bookings() == []


def test_without_the_order_of_places_opposite_moves_end_in_a_deadlock(built: Built) -> None:
    swap = Swap(built)
    meeting = Meeting()
    with mock.patch.object(calendar, "PlaceLocks", partial(UnorderedPlaces, meeting)):
        shown_within_rounds(lambda _: bool(broken(swap.at_once())), meeting)


def test_the_second_who_wants_a_time_looks_when_the_first_has_it(built: Built) -> None:
    clients = [registered(built), registered(built)]
    with before_writing(seconds=1.0) as meeting:
        results = together(lambda which: book(built, clients[which], 1), 2)
    assert refused(results) == ["time_taken"]
    assert not meeting.met


@pytest.mark.parametrize("kind", ["practitioner", "room"])
def test_without_the_lock_of_the_place_alone_it_is_booked_twice(built: Built, kind: str) -> None:
    """The heads are locked all the while: different clients never meet there."""
    rush = Rush(built)

    def twice(day: int) -> bool:
        rush.for_one(kind, day + 1)
        return bool(double_bookings())

    with guards.session_guards_dropped(), places_unlocked(), before_writing() as meeting:
        try:
            shown_within_rounds(twice, meeting)
        finally:
            Session.objects.all().delete()


def test_without_the_lock_of_the_head_a_withdrawal_and_a_booking_collide(built: Built) -> None:
    """The control of ``test_a_booking_and_a_withdrawal_at_once…`` of the bookings."""

    def collided(day: int) -> bool:
        one = open_client(built)

        def attempt(number: int) -> Any:
            if number:
                return tell(built, one, ConsentWithdrawn(consent_id=None, reason=""))
            return book(built, one, day + 1)

        return bool(broken(together(attempt, 2)))

    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(collided, meeting)
