"""Any commands over any processes: kept states change no event."""

import random
from collections.abc import Iterator
from contextlib import suppress
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from practice.eventstore import store
from practice.work.kept_states import KeptStates, kept_states
from practice.work.unit_of_work import unit_of_work
from tests.dsl import DESK
from tests.eventstore.keeping import fail_after, fail_deciding, fail_in_savepoint, process
from tests.eventstore.toy import COUNT, SHELF, CupCounted, CupPut, client, run, take

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    kept_states.clear()
    yield
    kept_states.clear()


def numbered(states: Any, context: Any) -> list[CupPut]:
    """A decision that says how much it knew."""
    return [CupPut(name=f"{len(states[SHELF][0])}/{states[SHELF][1]}")]


def step(one: UUID, what: int, number: int) -> None:
    with suppress(Rejected, OSError):
        if what < 4:
            run(one, numbered, slices=(SHELF, COUNT) if what % 2 else (SHELF,))
        elif what == 4:
            run(one, take(str(number)))
        elif what == 5:
            run(one, lambda states, _: [CupCounted(cups=states[COUNT])], slices=(COUNT,))
        elif what == 6:
            kept_states.clear()
        else:
            with unit_of_work(actor=DESK, request_id="mixed") as uow:
                uow.execute(one, (SHELF,), numbered)
                (fail_deciding, fail_in_savepoint, fail_after)[number % 3](one, uow)
                uow.execute(one, (SHELF,), numbered)
                if what == 8:
                    raise OSError


def written(one: UUID) -> list[Any]:
    return [(event.version, event.data) for event in store.load(one)]


@pytest.mark.parametrize("seed", range(6))
def test_any_commands_over_any_processes_write_the_same_as_without(
    seed: int, settings: Any
) -> None:
    chance = random.Random(seed)
    kept_one, cold_one = client(), client(1)
    processes = [KeptStates() for _ in range(3)]
    for number in range(30):
        what, where = chance.randrange(9), chance.choice(processes)
        settings.KEPT_STATES_BYTES = 16_000_000
        with process(where):
            step(kept_one, what, number)
        settings.KEPT_STATES_BYTES = 0
        with process(KeptStates()):
            step(cold_one, what, number)
    assert written(kept_one) == written(cold_one)
    assert any(len(one) for one in processes)
