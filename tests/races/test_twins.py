"""Requests with one Idempotency-Key in flight at once: the work is done once, all hear the same."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Role
from practice.work import unit_of_work
from sessions.measurements.models import Reading
from tests.builders import Api, Built, build_practice, token_for
from tests.eventstore.test_races import together
from tests.harness.furnishing import READING
from tests.races.lifted import shown_within_rounds
from tests.sessions.people import registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
TWINS = 6


class Twins:
    """A practitioner whose device sends one reading several times at once."""

    def __init__(self, built: Built) -> None:
        self.client_id: UUID = registered(built)
        self.token = token_for(built.staff[Role.PRACTITIONER])

    def send(self, number: int, degrees: int = 140) -> list[Any]:
        path, key = f"clients/{self.client_id}/range-of-motion", f"{self.client_id}-{number}"

        def one(_twin: int) -> Any:
            return Api(self.token).post(path, READING | {"degrees": degrees}, key=key)

        return together(one, TWINS)

    def readings(self) -> int:
        return Reading.objects.filter(client_id=self.client_id).count()


@pytest.fixture
def twins() -> Twins:
    return Twins(build_practice())


def test_the_work_is_done_once_and_every_twin_gets_the_same_answer(twins: Twins) -> None:
    for number in range(3):
        answers = twins.send(number)
        assert {one.status_code for one in answers} == {201}
        assert len({one.content for one in answers}) == 1
        assert twins.readings() == number + 1


def test_without_the_claim_of_the_key_the_work_is_done_more_than_once(
    twins: Twins, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unit_of_work, "claim_key", lambda claim, now: now)

    def doubled(number: int) -> bool:
        before = twins.readings()
        twins.send(number)
        return twins.readings() > before + 1

    shown_within_rounds(doubled)
