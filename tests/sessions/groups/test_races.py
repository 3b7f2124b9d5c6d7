"""The last place of a class at one moment: exactly one client has it, and the guard is why."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.localtime import EnteredTime
from practice.core.terms import Credential, Role
from practice.http.unavailable import unavailability_of
from practice.work.unit_of_work import unit_of_work
from sessions.booking.services.requests import RequestedTime
from sessions.calendar.models import Session
from sessions.groups.services.classes import (
    ClassMoveRequest,
    ClassRequest,
    class_create,
    class_move,
)
from sessions.groups.services.places import PlaceRequest, place_book
from tests.builders import Built, build_practice
from tests.eventstore.test_races import together
from tests.races.lifted import places_unlocked, refused, shown_within_rounds
from tests.races.meeting import before_writing
from tests.sessions.people import registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
ATTEMPTS = 20


@pytest.fixture
def built() -> Built:
    return build_practice()


def time_on(days: int, hour: int = 15) -> RequestedTime:
    day = clock.now().replace(hour=hour, minute=0, second=0, microsecond=0)
    start = day.replace(year=day.year + 1, month=3, day=1 + days)
    return RequestedTime(starts_at=EnteredTime(instant=start), minutes=45)


def group(built: Built, days: int, capacity: int) -> UUID:
    request = ClassRequest(
        title="Strength and balance",
        practitioner_id=built.practitioners[Credential.PHYSICAL_THERAPIST].pk,
        facility_id=built.east.pk,
        room_id=built.rooms["East 1"].pk,
        when=time_on(days),
        capacity=capacity,
    )
    with unit_of_work(actor=built.actor(Role.OWNER), request_id="class") as uow:
        return class_create(uow, command=request).class_id


def place(built: Built, class_id: UUID, client_id: UUID) -> Any:
    with unit_of_work(actor=built.actor(Role.OWNER), request_id="place") as uow:
        return place_book(uow, class_id=class_id, command=PlaceRequest(client_id=client_id))


def rush(built: Built, class_id: UUID, clients: list[UUID]) -> list[Any]:
    return together(lambda number: place(built, class_id, clients[number]), len(clients))


def taken(class_id: UUID) -> int:
    return Session.objects.filter(class_id=class_id, status="booked").count()


def test_of_twenty_who_want_the_last_place_exactly_one_has_it(built: Built) -> None:
    class_id = group(built, 0, capacity=3)
    for _ in range(2):
        place(built, class_id, registered(built))
    results = rush(built, class_id, [registered(built) for _ in range(ATTEMPTS)])
    # On a slow machine the last of the queue are told to try again (503): that is no success.
    answered = [one for one in results if unavailability_of(one) is None]
    full = refused(answered)
    assert set(full) == {"class_full"}
    assert len(answered) - len(full) == 1
    assert taken(class_id) == 3


def test_without_the_lock_of_the_practitioner_the_last_place_is_given_twice(built: Built) -> None:
    """The control: the heads are locked all the while, but different clients never meet there."""
    clients = [registered(built) for _ in range(ATTEMPTS)]

    def overbooked(number: int) -> bool:
        class_id = group(built, number, capacity=2)
        place(built, class_id, registered(built))
        rush(built, class_id, clients)
        return taken(class_id) > 2

    with places_unlocked(), before_writing() as meeting:
        shown_within_rounds(overbooked, meeting)


def test_a_place_given_while_the_class_moves_goes_along_or_is_refused(built: Built) -> None:
    for number in range(5):
        class_id = group(built, number, capacity=5)
        place(built, class_id, registered(built))
        comer = registered(built)

        def attempt(
            which: int, class_id: UUID = class_id, comer: UUID = comer, day: int = number
        ) -> Any:
            if which:
                return place(built, class_id, comer)
            with unit_of_work(actor=built.actor(Role.OWNER), request_id="move") as uow:
                request = ClassMoveRequest(reason="painted", when=time_on(day, 18))
                return class_move(uow, class_id=class_id, command=request)

        assert set(refused(together(attempt, 2))) <= {"class_changed"}
        starts = set(Session.objects.filter(class_id=class_id).values_list("starts_at", flat=True))
        assert len(starts) == 1


def test_places_of_a_class_stand_side_by_side_and_another_session_does_not(built: Built) -> None:
    """The constraint itself, behind the check."""
    from django.db import IntegrityError, transaction

    first, second = group(built, 0, capacity=5), group(built, 1, capacity=5)
    for _ in range(2):
        place(built, first, registered(built))
    place(built, second, registered(built))
    rows = Session.objects.filter(class_id=first)
    start, end = rows.values_list("starts_at", "ends_at")[0]
    for other in (second, None):
        with pytest.raises(IntegrityError), transaction.atomic():
            Session.objects.filter(class_id=second).update(
                class_id=other, starts_at=start, ends_at=end
            )
