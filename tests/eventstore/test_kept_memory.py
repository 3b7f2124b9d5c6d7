"""How long kept states stay in memory, and how many."""

from collections.abc import Callable, Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.keys.keystore import keystore
from practice.work.kept_states import KeptState, KeptStates, kept_states
from practice.work.unit_of_work import unit_of_work
from tests.dsl import DESK
from tests.eventstore.keeping import kept, key, seen
from tests.eventstore.toy import SHELF, client, put, run

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    kept_states.clear()
    yield
    kept_states.clear()


def test_forgetting_or_destroying_a_key_drops_the_states() -> None:
    one, other = client(), client(1)
    keystore.invalidate()
    assert kept(one) is kept(other) is None
    assert kept_states.size == 0
    seen(one)
    assert kept(one) is not None
    keystore.destroy(other)
    assert kept(one) is None


def test_the_deadline_is_the_keys_and_use_does_not_prolong_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = 1_000.0
    for cache in (keystore._cache, kept_states):
        monkeypatch.setattr(cache, "_now", lambda: now)
    keystore.invalidate()
    one = client()
    assert kept(one).deadline == keystore.deadline(one) == 1_060  # type: ignore[union-attr]
    now = 1_050.0
    keystore._cache.clear()  # the key is fetched anew
    run(one, put("second"))
    assert keystore.deadline(one) == 1_110
    assert kept(one).deadline == 1_060  # type: ignore[union-attr]
    now = 1_060.0
    assert kept_states.take(key(one)) is None
    keystore.invalidate()


def test_without_a_key_in_memory_nothing_is_kept() -> None:
    one = client()
    kept_states.clear()
    with unit_of_work(actor=DESK, request_id="slow") as uow:
        uow.states(one, (SHELF,))
        keystore.invalidate()
    assert kept(one) is None


OF_TEN: dict[str, Any] = {
    "folded": object(),
    "mac": b"",
    "starts_at_version": 1,
    "generation": (),
    "size": 10,
}


class Clock:
    """A timer that runs when told."""

    def __init__(self) -> None:
        self.now = 0.0
        self.sweeps: list[Callable[[], None]] = []
        self.daemon = False

    def timer(self, seconds: float, sweep: Callable[[], None]) -> "Clock":
        self.sweeps.append(sweep)
        return self

    def start(self) -> None:
        pass

    def is_alive(self) -> bool:
        return bool(self.sweeps)


@pytest.mark.once
class TestKeptStates:
    """The memory by itself."""

    def test_a_timer_drops_what_nobody_asks_for(self) -> None:
        clock = Clock()
        states = KeptStates(now=lambda: clock.now, timer=clock.timer)
        states.put_back(("a", UUID(int=1), "x"), KeptState(version=1, deadline=5.0, **OF_TEN))
        clock.now = 5.0
        clock.sweeps.pop()()
        assert len(states) == states.size == 0

    def test_the_bound_is_in_bytes_and_the_least_used_goes_first(self, settings: Any) -> None:
        settings.KEPT_STATES_BYTES = 20
        states = KeptStates(now=lambda: 0.0, timer=Clock().timer)
        a, b, c = (("a", UUID(int=number), "x") for number in range(3))
        one = KeptState(version=1, deadline=5.0, **OF_TEN)
        for name in (a, b):
            states.put_back(name, one)
        states.put_back(a, states.take(a))  # type: ignore[arg-type]
        states.put_back(c, one)
        assert list(states._held) == [a, c]
        assert states.size == 20
        settings.KEPT_STATES_BYTES = 0
        states.put_back(b, one)
        assert len(states) == 0

    def test_an_older_state_does_not_replace_a_newer_one(self) -> None:
        states = KeptStates(now=lambda: 0.0, timer=Clock().timer)
        name = ("a", UUID(int=1), "x")
        for version in (2, 3, 2):
            states.put_back(name, KeptState(version=version, deadline=5.0, **OF_TEN))
        assert states.size == 10
        assert states.take(name).version == 3  # type: ignore[union-attr]
