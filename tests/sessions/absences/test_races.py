"""An absence or a closure recorded while somebody books: the booking sees it, or it names the
booking. Without the lock a session is left that neither knows of."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from practice.core.reasons import Rejected
from practice.core.terms import AbsenceKind, Credential, Role
from practice.people_and_places.models.exceptions import Absence, Closure
from practice.people_and_places.services.exceptions import (
    AbsenceRequest,
    ClosureRequest,
    TimeOffRequest,
)
from practice.work.unit_of_work import unit_of_work
from sessions.absences.services.recording import absence_record, closure_record
from tests.builders import Built, build_practice
from tests.eventstore.test_races import together
from tests.races.lifted import places_unlocked, shown_within_rounds
from tests.races.meeting import Meeting, before_writing
from tests.sessions.booking.test_races import TODAY, book
from tests.sessions.people import registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]


@pytest.fixture
def built() -> Built:
    return build_practice()


class AtOnce:
    """One books a day while another records that nobody is there on it.

    They wait for each other: the one when it has seen who is there and has written nothing, the
    other when it has counted whom it meets and has not committed.
    """

    def __init__(self, built: Built, kind: type[Absence | Closure], meeting: Meeting) -> None:
        self.built = built
        self.kind = kind
        self.meeting = meeting
        self.client = registered(built)

    def unknown_to_both(self, number: int) -> bool:
        """Whether the session was booked and the record of the day does not name it."""
        booked, recorded = together(
            lambda which: self._record(number) if which else self._book(number), 2
        )
        assert not isinstance(recorded, Exception), recorded
        if isinstance(booked, Rejected):
            assert booked.code == "closed_then"
            return False
        assert not isinstance(booked, Exception), booked
        return recorded.count == 0  # type: ignore[no-any-return]

    def _book(self, number: int) -> Any:
        return book(self.built, self.client, number + 1)

    def _record(self, number: int) -> Any:
        day = book_day(number)
        when = TimeOffRequest(first_day=day)
        paula = self.built.practitioners[Credential.PHYSICAL_THERAPIST].pk
        with unit_of_work(actor=self.built.actor(Role.OWNER), request_id="race") as uow:
            if self.kind is Absence:
                ill = AbsenceRequest(practitioner_id=paula, when=when, kind=AbsenceKind.ILL)
                found = absence_record(uow, command=ill)
            else:
                snow = ClosureRequest(facility_id=self.built.east.pk, when=when, reason="Snow.")
                found = closure_record(uow, command=snow)
            self.meeting.wait()
            return found


def book_day(number: int) -> Any:
    """The local day on which ``book`` books: at three in the afternoon UTC."""
    return (
        (TODAY + timedelta(days=number + 1, hours=15))
        .astimezone(ZoneInfo("America/New_York"))
        .date()
    )


@pytest.mark.parametrize("kind", [Absence, Closure])
def test_a_booking_sees_what_is_recorded_or_is_named_by_it(
    built: Built, kind: type[Absence | Closure]
) -> None:
    with before_writing(seconds=0.3) as meeting:
        race = AtOnce(built, kind, meeting)
        assert [number for number in range(4) if race.unknown_to_both(number)] == []
    assert not meeting.met


@pytest.mark.parametrize("kind", [Absence, Closure])
def test_without_the_lock_a_booking_is_left_of_which_nobody_knows(
    built: Built, kind: type[Absence | Closure]
) -> None:
    with places_unlocked(), before_writing() as meeting:
        shown_within_rounds(AtOnce(built, kind, meeting).unknown_to_both, meeting)
