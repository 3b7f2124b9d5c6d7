"""Data keys: bound to their client, a minute in memory, tried before anything is sealed."""

import base64
import os
from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest

from practice.audit.domain.events import RecordClosed
from practice.audit.services import destroy_key
from practice.jobs.models import ScheduledJob
from practice.keys.cache import KeyCache
from practice.keys.canary import (
    WrongKeysError,
    keys_fault,
    refuse_to_start_with_wrong_keys,
    trial,
)
from practice.keys.keystore import (
    CACHE_SECONDS,
    PRACTICE_SUBJECT,
    KeyDamagedError,
    KeyDestroyedError,
    keystore,
)
from practice.keys.models import DataKey
from practice.work.unit_of_work import new_client_stream
from tests.builders import Api
from tests.eventstore.toy import client, put, run


def another_key() -> str:
    return base64.b64encode(os.urandom(32)).decode()


def swap(one: UUID, other: UUID) -> None:
    first, second = DataKey.objects.get(subject=one), DataKey.objects.get(subject=other)
    DataKey.objects.filter(pk=first.pk).update(subject=other)
    DataKey.objects.filter(pk=second.pk).update(subject=one)
    keystore.invalidate()


@pytest.mark.django_db(transaction=True)
class TestBinding:
    def test_a_swapped_row_does_not_open_and_destroys_nobodys_key(self) -> None:
        one, other = client(), client()
        swap(one, other)
        with pytest.raises(KeyDamagedError):
            keystore.of(one)
        with pytest.raises(KeyDamagedError):
            keystore.destroy(one)
        assert DataKey.objects.filter(destroyed_at=None).count() == 3

    def test_a_wrapped_key_put_into_anothers_row_does_not_open(self) -> None:
        one, other = client(), client()
        wrapped = DataKey.objects.get(subject=one).wrapped
        DataKey.objects.filter(subject=other).update(wrapped=wrapped)
        keystore.invalidate()
        with pytest.raises(KeyDamagedError):
            keystore.of(other)

    def test_a_destroyed_key_is_emptied_and_gone(self) -> None:
        one = client()
        assert keystore.destroy(one) == 1
        assert bytes(DataKey.objects.get(subject=one).wrapped) == b""
        with pytest.raises(KeyDestroyedError):
            keystore.of(one)
        assert keystore.destroy(one) == 0

    def test_an_erasure_whose_key_was_hidden_under_another_name_is_not_called_done(
        self, closed: Callable[[], UUID]
    ) -> None:
        one = closed()
        DataKey.objects.filter(subject=one).update(subject=UUID(int=77))
        keystore.invalidate()
        job = ScheduledJob(subject=one)
        with pytest.raises(KeyDamagedError, match="lives on"):
            run_handler(job)

    @pytest.fixture
    def closed(self) -> Callable[[], UUID]:
        from practice.work.unit_of_work import unit_of_work
        from tests.dsl import DESK
        from tests.eventstore.toy import SHELF

        def make() -> UUID:
            one = client()
            with unit_of_work(actor=DESK, request_id="toy") as uow:
                closing = RecordClosed(erasure_id=uuid4(), ordered_by=one, retained_facts={})
                uow.close_stream(one, (SHELF,), lambda _states, _context: [closing])
            return one

        return make


def run_handler(job: ScheduledJob) -> None:
    from practice.work.unit_of_work import unit_of_work
    from tests.dsl import DESK

    with unit_of_work(actor=DESK, request_id="toy") as uow:
        destroy_key(uow, job)


class FakeTimer:
    def __init__(self, seconds: float, act: Callable[[], None]) -> None:
        self.seconds, self.act, self.daemon, self.waits = seconds, act, False, False

    def start(self) -> None:
        self.waits = True

    def is_alive(self) -> bool:
        return self.waits

    def ring(self) -> None:
        self.waits = False
        self.act()


class TestCache:
    def cache(self) -> tuple[KeyCache, list[float], list[FakeTimer]]:
        time, timers = [0.0], []

        def timer(seconds: float, act: Callable[[], None]) -> FakeTimer:
            timers.append(FakeTimer(seconds, act))
            return timers[-1]

        return KeyCache(60, now=lambda: time[0], timer=timer), time, timers

    def test_a_minute_at_most_is_what_the_keystore_keeps(self) -> None:
        assert CACHE_SECONDS == 60

    def test_an_entry_is_given_until_its_time_and_asking_does_not_prolong_it(self) -> None:
        cache, time, _ = self.cache()
        cache.put("key", "opened")
        time[0] = 59.9
        assert cache.get("key") == "opened"
        time[0] = 60.0
        assert cache.get("key") is None

    def test_a_child_made_by_fork_waits_for_no_thread_that_it_has_not(self) -> None:
        cache, _, _ = self.cache()
        with cache._lock:
            child = os.fork()
            if not child:
                os._exit(int(cache._lock.locked()))
            assert os.waitpid(child, 0)[1] == 0
            assert cache._lock.locked(), "the parent's own is held as before"

    def test_what_has_run_out_leaves_memory_though_nobody_asks(self) -> None:
        cache, time, timers = self.cache()
        cache.put("first", 1)
        time[0] = 30.0
        cache.put("second", 2)
        assert len(timers) == 1
        assert timers[0].daemon
        time[0] = 60.0
        timers[0].ring()
        assert len(cache) == 1
        time[0] = 120.0
        timers[1].ring()
        assert len(cache) == 0
        assert len(timers) == 2, "nothing is left to wait for"

    def test_what_has_run_out_goes_when_another_comes(self) -> None:
        cache, time, _ = self.cache()
        cache.put("first", 1)
        time[0] = 61.0
        cache.put("second", 2)
        assert len(cache) == 1


@pytest.mark.django_db(transaction=True)
class TestCanary:
    @pytest.fixture(autouse=True)
    def _tried_anew(self) -> Any:
        trial.forget()
        keystore.invalidate()
        yield
        trial.forget()
        keystore.invalidate()

    def test_the_right_keys_pass(self) -> None:
        assert keys_fault() is None
        refuse_to_start_with_wrong_keys()

    @pytest.mark.parametrize("name", ["PRACTICE_MASTER_KEY", "PRACTICE_CHAIN_KEY"])
    def test_another_valid_key_is_refused_at_the_start_and_seals_nothing(
        self, settings: Any, name: str
    ) -> None:
        one = client()
        setattr(settings, name, another_key())
        trial.forget()
        keystore.invalidate()
        with pytest.raises(WrongKeysError, match=name):
            refuse_to_start_with_wrong_keys()
        before = DataKey.objects.count()
        with pytest.raises(WrongKeysError):
            new_client_stream()
        with pytest.raises(WrongKeysError):
            run(one, put("second"), slices=())
        assert DataKey.objects.count() == before
        answer = Api().get("health/ready")
        assert answer.status_code == 503
        assert answer.json()["status"] == "not_ready"
        assert name in answer.json()["problems"][0]

    def test_a_changed_canary_is_named(self) -> None:
        DataKey.objects.filter(subject=PRACTICE_SUBJECT).update(canary=b"x" * 60)
        assert "canary" in str(keys_fault())

    def test_a_practice_without_its_key_is_told_to_migrate(self) -> None:
        DataKey.objects.filter(subject=PRACTICE_SUBJECT).delete()
        assert "migrate" in str(keys_fault())
