"""Sessions are planned anew while the consent is withdrawn: nothing is by hand afterwards."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.core.terms import Role
from practice.work.unit_of_work import unit_of_work
from sessions.calendar.models import Session
from sessions.replanning.services import ReplanRequest, sessions_replan
from tests.builders import Built, build_practice
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import broken, refused, shown_within_rounds
from tests.races.meeting import before_writing
from tests.sessions.booking.test_races import book
from tests.sessions.people import consent, open_client, tell

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
WITHDRAWN = ConsentWithdrawn(consent_id=None, reason="Not any more.")


@pytest.fixture
def built() -> Built:
    return build_practice()


def narrowed(built: Built, day: int) -> UUID:
    """A client whose session narrowed; the consent is there again, so that it may be by hand."""
    client = open_client(built)
    book(built, client, day)
    tell(built, client, WITHDRAWN)
    tell(built, client, consent())
    return client


def at_once(built: Built, client: UUID) -> list[Any]:
    """The desk plans anew at the moment at which the client withdraws their consent."""

    def attempt(number: int) -> Any:
        if number:
            return tell(built, client, WITHDRAWN)
        request = ReplanRequest(reason="They consented again.", client_id=client)
        with unit_of_work(actor=built.actor(Role.OWNER), request_id="replan") as uow:
            return sessions_replan(uow, command=request)

    return together(attempt, 2)


def test_whichever_is_first_nothing_is_by_hand_after_the_withdrawal(built: Built) -> None:
    for day in range(1, 11):
        client = narrowed(built, day)
        assert refused(at_once(built, client)) == []
        row = Session.objects.get(client_id=client)
        assert (row.mode, row.flagged) == ("self_directed", True)


def test_without_the_lock_of_the_head_the_two_collide(built: Built) -> None:
    """The control of the test above."""

    def collided(number: int) -> bool:
        client = narrowed(built, number + 1)
        results = at_once(built, client)
        by_hand = Session.objects.get(client_id=client).mode == "hands_on"
        return by_hand or bool(broken(results))

    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(collided, meeting)
