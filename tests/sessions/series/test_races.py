"""Two series at one moment: in opposite order they wait in no circle, and no time is had twice."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import Any
from unittest import mock
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.localtime import EnteredTime
from practice.core.terms import Credential, Role
from practice.people_and_places.models.facilities import Room
from practice.work.unit_of_work import unit_of_work
from sessions.booking.services import sessions as booking
from sessions.calendar import guards
from sessions.calendar.models import Session
from sessions.series.domain.changes import SeriesMoveRequest, SeriesRequest
from sessions.series.services.booking import series_book
from sessions.series.services.changes import series_move
from sessions.series.services.results import SeriesResult
from tests.builders import Built, build_practice, practitioner
from tests.eventstore.test_races import together
from tests.races.lifted import (
    ROUNDS,
    UnorderedPlaces,
    broken,
    places_unlocked,
    refused,
    shown_within_rounds,
)
from tests.races.meeting import Meeting, before_writing
from tests.races.test_places import double_bookings
from tests.sessions.people import registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
RULE = "FREQ=DAILY;COUNT=3"


@pytest.fixture
def built() -> Built:
    return build_practice()


class TwoSeries:
    """Two clients, two practitioners, two rooms; each client with a series of three days."""

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
        self.first = clock.now().replace(hour=15, minute=0, second=0, microsecond=0)
        self.first += timedelta(days=364)

    def book(self, which: int, *, at: int, hours_later: int = 0, **more: Any) -> SeriesResult:
        """A series of one client with the practitioner and in the room of a number."""
        start = self.first + timedelta(hours=hours_later)
        request = SeriesRequest(
            client_id=self.clients[which],
            practitioner_id=self.people[at],
            facility_id=self.built.east.pk,
            room_id=self.rooms[at],
            starts_at=EnteredTime(instant=start),
            minutes=60,
            recurrence=RULE,
            **more,
        )
        with unit_of_work(actor=self.built.actor(Role.OWNER), request_id="race") as uow:
            return series_book(uow, command=request)

    def move(self, series_id: UUID, to: int) -> SeriesResult:
        """A whole series to the practitioner and into the room of a number."""
        request = SeriesMoveRequest(
            from_day=self.first.date(),
            practitioner_id=self.people[to],
            room_id=self.rooms[to],
            keep_room=False,
            reason="they change places",
        )
        with unit_of_work(actor=self.built.actor(Role.OWNER), request_id="race") as uow:
            return series_move(uow, series_id=series_id, command=request)


class Crossing:
    """Two series at other hours, each of which goes where the other is and back again."""

    def __init__(self, built: Built) -> None:
        self.two = TwoSeries(built)
        self.series = [
            self.two.book(which, at=which, hours_later=2 * which).series_id for which in range(2)
        ]

    def round(self, number: int) -> list[Any]:
        """Both at once, the one from the first to the second, the other the other way."""
        there = (number + 1) % 2
        to = (there, 1 - there)
        return together(lambda which: self.two.move(self.series[which], to[which]), 2)


def test_two_series_in_opposite_order_never_wait_in_a_circle(built: Built) -> None:
    crossing = Crossing(built)
    for number in range(ROUNDS):
        assert refused(crossing.round(number)) == []
    assert double_bookings() == []
    assert Session.objects.filter(status="booked", moved_alone=False).count() == 6


def test_without_the_order_of_places_two_series_end_in_a_deadlock(built: Built) -> None:
    crossing = Crossing(built)
    meeting = Meeting()
    with mock.patch.object(booking, "PlaceLocks", partial(UnorderedPlaces, meeting)):
        shown_within_rounds(lambda number: bool(broken(crossing.round(number))), meeting)


def test_of_two_series_for_the_same_times_exactly_one_has_them(built: Built) -> None:
    two = TwoSeries(built)
    for hours in range(4):

        def attempt(which: int, hours: int = hours) -> SeriesResult:
            return two.book(which, at=0, hours_later=hours, all_or_nothing=bool(hours % 2))

        results = together(attempt, 2)
        assert refused(results) in (["series_refused"], ["none_booked"])
    assert double_bookings() == []
    assert Session.objects.count() == 4 * 3


def test_without_the_locks_of_the_places_a_time_of_two_series_is_booked_twice(
    built: Built,
) -> None:
    two = TwoSeries(built)

    def twice(number: int) -> bool:
        two.first += timedelta(days=7)
        together(lambda which: two.book(which, at=0), 2)
        return bool(double_bookings())

    with guards.session_guards_dropped(), places_unlocked(), before_writing() as meeting:
        try:
            shown_within_rounds(twice, meeting)
        finally:
            Session.objects.all().delete()
