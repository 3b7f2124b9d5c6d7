"""States that reads share: never another state than the log gives at the head that was read."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest
from django.db import connection

from practice.core.events import UnknownEventVersion, registry
from practice.core.reasons import Rejected
from practice.eventstore import envelope, guards, reading
from practice.eventstore.models import StoredEvent, StreamHead
from practice.keys.keystore import UnreadableRecordError, keystore
from practice.work import loading
from practice.work.kept_states import KeptState, KeptStates, kept_states
from practice.work.shared_states import FROZEN
from practice.work.unit_of_work import new_client_stream, unit_of_work
from tests.dsl import DESK
from tests.eventstore.keeping import process, restore, statements
from tests.eventstore.toy import COUNT, SHELF, CupCounted, CupPut, client, put, run, take

pytestmark = pytest.mark.django_db(transaction=True)
HANDLERS: dict[Any, Any] = SHELF._handlers


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    kept_states.clear()
    yield
    kept_states.clear()


def read(one: UUID, slice_: Any = SHELF) -> Any:
    return loading.load_states(one, (slice_,))[slice_]


def shared(one: UUID, name: str = SHELF.name) -> KeptState | None:
    found = kept_states._held.get((connection.alias, one, name, FROZEN))
    return found[1] if found else None


@pytest.mark.sqlite
def test_the_next_read_of_the_process_loads_no_event() -> None:
    one = client()
    assert statements(lambda: read(one), "eventstore_storedevent") == 1
    assert statements(lambda: read(one), "eventstore_storedevent") == 0
    assert statements(lambda: read(one), "eventstore_streamhead") == 1
    assert read(one) is read(one), "frozen once, for all"
    kept_states.clear()
    assert statements(lambda: read(one), "eventstore_storedevent") == 1


def test_what_another_process_wrote_is_read() -> None:
    one = client()
    assert read(one) == (("first",), 0)
    with process(KeptStates()):
        run(one, take("Ada"))
    assert read(one) == (("first",), 1)
    run(one, put("second"))
    assert read(one) == (("first", "second"), 1)


@pytest.mark.parametrize("words", [("other",), ("other", "another")], ids=["as long", "longer"])
def test_a_restored_log_that_repeats_versions_is_read_anew(words: tuple[str, ...]) -> None:
    one = client()
    run(one, put("lost with the backup"))
    assert read(one)[0] == ("first", "lost with the backup")
    restore(one, 1)
    with process(KeptStates()):
        for word in words:
            run(one, put(word))
    assert StreamHead.objects.get(stream=one).version == 1 + len(words)
    assert read(one)[0] == ("first", *words)


def test_a_log_that_was_restored_and_not_gone_on_with_is_read_anew() -> None:
    one = client()
    run(one, put("lost"))
    read(one)
    restore(one, 1)
    assert read(one) == (("first",), 0)


def test_a_read_never_takes_a_builder_and_a_unit_never_a_frozen_state() -> None:
    one = client()
    builder = kept_states._held[(connection.alias, one, SHELF.name)][1]
    read(one)
    assert kept_states._held[(connection.alias, one, SHELF.name)][1] is builder
    frozen = shared(one)
    assert run(one, put("second")).version == 2
    assert shared(one) is frozen, "it stays until a newer one comes"
    assert read(one) == (("first", "second"), 0)
    assert shared(one).version == 2  # type: ignore[union-attr]


def test_a_read_folds_to_the_version_of_the_head_that_it_saw(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one, load = client(), reading.load_until

    def meanwhile(*given: Any, **more: Any) -> Any:
        with process(KeptStates()):
            both = [CupPut(name="meanwhile"), CupCounted(cups=2)]
            run(one, lambda states, context: both, (SHELF, COUNT))
        return load(*given, **more)

    with monkeypatch.context() as patch:
        patch.setattr(reading, "load_until", meanwhile)
        loader = loading.state_loader(one)
        assert loader.require((SHELF,))[SHELF] == (("first",), 0)
    assert shared(one).version == 1  # type: ignore[union-attr]
    both = loader.require((COUNT, SHELF))
    assert (both[COUNT], both[SHELF]) == (-1, (("first",), 0)), "one read, one version"
    assert read(one) == (("first", "meanwhile"), 0)


def test_what_moves_another_way_between_two_statements_is_not_shared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one, load = client(), reading.load_until
    run(one, put("lost"))

    def meanwhile(*given: Any, **more: Any) -> Any:
        restore(one, 1)
        with process(KeptStates()):
            run(one, put("another way"))
        return load(*given, **more)

    with monkeypatch.context() as patch:
        patch.setattr(reading, "load_until", meanwhile)
        read(one)
    assert shared(one) is None
    assert read(one) == (("first", "another way"), 0)


def test_a_changed_handler_or_reading_of_events_is_folded_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one = client()
    assert read(one) == (("first",), 0)

    def twice(shelf: Any, event: CupPut, meta: Any) -> None:
        shelf.cups += [event.name, event.name]

    with monkeypatch.context() as patch:
        patch.setitem(HANDLERS, CupPut, twice)
        assert read(one) == (("first", "first"), 0)
    assert read(one) == (("first",), 0)


def test_an_event_that_the_program_does_not_know_stops_the_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one = client()
    assert read(one, COUNT) == -1
    with process(KeptStates()):
        run(one, lambda states, context: [CupCounted(cups=3)], (SHELF, COUNT))
    with monkeypatch.context() as patch:
        patch.delitem(registry.by_name, "toy.counted")
        with pytest.raises(UnknownEventVersion):
            read(one)
    assert read(one, COUNT) == 3


def test_the_last_event_counts_only_where_it_is_asked_for() -> None:
    one = client()
    run(one, lambda states, context: [CupCounted(cups=3)], (SHELF, COUNT))
    assert read(one) == (("first",), 0)
    assert (
        shared(one).size
        == StoredEvent.objects.get(  # type: ignore[union-attr]
            stream=one, version=1
        ).ciphertext.__len__()
    )
    assert read(one, COUNT) == 3
    kept_states.clear()
    with guards.without_guards():
        StoredEvent.objects.filter(stream=one, version=2).update(ciphertext=b"damaged" * 9)
    assert read(one) == (("first",), 0)
    with pytest.raises(UnreadableRecordError):
        read(one, COUNT)


def test_forgetting_or_destroying_a_key_drops_what_is_shared() -> None:
    one, other = client(), client(1)
    read(one)
    keystore.invalidate()
    assert shared(one) is None
    read(one)
    assert shared(one) is not None
    keystore.destroy(other)
    assert shared(one) is None


def test_it_lies_in_memory_as_long_as_the_key_and_use_does_not_prolong_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = 1_000.0
    for cache in (keystore._cache, kept_states):
        monkeypatch.setattr(cache, "_now", lambda: now)
    keystore.invalidate()
    one = client()
    read(one)
    assert shared(one).deadline == keystore.deadline(one) == 1_060  # type: ignore[union-attr]
    now = 1_059.0
    read(one)
    assert shared(one).deadline == 1_060  # type: ignore[union-attr]
    now = 1_060.0
    assert kept_states.look((connection.alias, one, SHELF.name, FROZEN)) is None
    kept_states.sweep()
    assert shared(one) is None
    keystore.invalidate()


def test_without_a_key_in_memory_nothing_is_shared(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()
    monkeypatch.setattr(keystore, "deadline", lambda _: None)
    assert read(one) == (("first",), 0)
    assert shared(one) is None


def test_closing_a_record_drops_what_is_shared_and_shares_nothing_of_it_again() -> None:
    one = client()
    read(one)
    with unit_of_work(actor=DESK, request_id="close") as uow:
        uow.close_stream(one, (SHELF,), put("closing"))
    assert shared(one) is None
    assert read(one) == (("closing",), 0)
    assert shared(one) is None


def test_all_that_is_kept_is_bounded_together(settings: Any) -> None:
    one, other = client(), client(1)
    kept_states.clear()
    read(one)
    settings.KEPT_STATES_BYTES = kept_states.size
    read(other)
    assert shared(one) is None
    assert shared(other) is not None
    assert kept_states.size <= settings.KEPT_STATES_BYTES
    settings.KEPT_STATES_BYTES = 0
    run(other, put("second"))
    assert read(other) == (("first", "second"), 0)
    assert kept_states.size == 0


def test_the_least_used_goes_first(settings: Any) -> None:
    one, other, third = client(), client(1), client(2)
    kept_states.clear()
    read(one)
    read(other)
    read(one)
    settings.KEPT_STATES_BYTES = kept_states.size
    read(third)
    assert shared(other) is None
    assert shared(one) is not None


def test_a_stream_that_is_not_there_is_404_and_an_empty_one_has_the_first_state() -> None:
    with pytest.raises(Rejected) as refused:
        read(UUID(int=1))
    assert refused.value.status == 404
    empty = new_client_stream()
    with unit_of_work(actor=DESK, request_id="empty") as uow:
        uow.create(empty)
    assert read(empty) == ((), 0)


def test_no_cycles_are_looked_for_while_events_are_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    one, opened = client(), envelope.decrypt
    looked_for: list[bool] = []

    def decrypt(*given: Any) -> Any:
        looked_for.append(gc.isenabled())
        return opened(*given)

    monkeypatch.setattr(envelope, "decrypt", decrypt)
    read(one)
    kept_states.clear()
    run(one, put("second"))
    assert looked_for == [False, False]
    assert gc.isenabled()
