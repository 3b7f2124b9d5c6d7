"""States kept between units of work: never another state than the log gives."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import DatabaseError, connection
from msgspec import structs

from practice.core.events import DatedEvent, EventType, RecordedEvent, UnknownEventVersion, registry
from practice.core.reasons import Rejected
from practice.work.kept_states import KeptStates, kept_states
from practice.work.unit_of_work import UnitOfWork, unit_of_work
from tests.dsl import DESK
from tests.eventstore.keeping import (
    fail_after,
    fail_closing,
    fail_deciding,
    fail_in_savepoint,
    kept,
    process,
    restore,
    seen,
    statements,
)
from tests.eventstore.toy import COUNT, SHELF, CupCounted, CupPut, CupTaken, client, put, run, take

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept() -> Iterator[None]:
    kept_states.clear()
    yield
    kept_states.clear()


@pytest.mark.sqlite
def test_the_next_unit_of_the_process_loads_no_event() -> None:
    one = client()
    assert statements(lambda: run(one, put("second")), "eventstore_storedevent") == 0
    assert seen(one) == (("first", "second"), 0)
    kept_states.clear()
    assert statements(lambda: run(one, put("third")), "eventstore_storedevent") == 1


def test_what_another_process_wrote_is_folded_in() -> None:
    one, other = client(), KeptStates()
    with process(other):
        run(one, put("second"))
        run(one, take("Ada"))
    with pytest.raises(Rejected):
        run(one, take("Ben"))
    assert seen(one) == (("first", "second"), 1)
    run(one, put("third"))
    with process(other):
        assert seen(one) == (("first", "second", "third"), 1)


def test_a_state_is_out_while_a_unit_has_it() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="out") as uow:
        uow.states(one, (SHELF,))
        assert kept(one) is None
    assert kept(one) is not None
    with pytest.raises(RuntimeError, match="over"):
        uow.states(one, (SHELF,))


def test_nothing_is_taken_before_the_head_is_locked(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()
    order: list[str] = []
    lock, give = UnitOfWork.lock, kept_states.take

    def locking(uow: UnitOfWork, *client_ids: UUID) -> None:
        lock(uow, *client_ids)
        order.append("lock")

    def taking(wanted: Any) -> Any:
        order.append("take")
        return give(wanted)

    monkeypatch.setattr(UnitOfWork, "lock", locking)
    monkeypatch.setattr(kept_states, "take", taking)
    run(one, put("second"))
    assert order == ["lock", "take"]


def test_a_rolled_back_unit_keeps_nothing() -> None:
    one = client()
    with suppress(OSError), unit_of_work(actor=DESK, request_id="fails") as uow:
        uow.execute(one, (SHELF,), put("never"))
        raise OSError
    assert kept(one) is None
    assert seen(one) == (("first",), 0)


def test_a_commit_whose_outcome_is_unknown_keeps_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()

    def lost() -> None:
        raise DatabaseError("the connection is lost")

    with monkeypatch.context() as patch, suppress(DatabaseError):
        patch.setattr(connection, "_commit", lost)
        run(one, put("perhaps"))
    assert kept(one) is None
    assert seen(one) == (("first",), 0)


@pytest.mark.parametrize(
    ("failing", "left"),
    [
        (fail_deciding, ("first",)),
        (fail_in_savepoint, ("first",)),
        (fail_after, ("first", "stored")),
        (fail_closing, ("first",)),
    ],
)
def test_a_swallowed_failure_leaves_no_phantom(failing: Any, left: tuple[str, ...]) -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="swallows") as uow:
        failing(one, uow)
        assert uow.states(one, (SHELF,))[SHELF][0] == left
        assert uow.execute(one, (SHELF,), put("next")).version == len(left) + 1
    assert kept(one) is None  # poisoned for the unit
    assert seen(one)[0] == (*left, "next")


def test_what_was_written_in_a_savepoint_that_is_left_is_not_kept() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="last") as uow:
        fail_in_savepoint(one, uow)
    assert kept(one) is None
    assert seen(one) == (("first",), 0)


@pytest.mark.parametrize("written_since", [0, 1, 2])
def test_after_a_restored_backup_repeated_versions_are_told_apart(written_since: int) -> None:
    one = client()
    run(one, put("lost"))
    restore(one, 1)
    with process(KeptStates()):
        for number in range(written_since):
            run(one, put(f"again {number}"))
    assert seen(one)[0] == ("first", *(f"again {number}" for number in range(written_since)))


def test_the_row_a_kept_state_stands_on_is_looked_at_whatever_its_type() -> None:
    one = client()
    run(one, lambda states, context: [CupCounted(cups=1)])  # not of the shelf's types
    with process(KeptStates()):
        run(one, put("third"))
    assert kept(one).version == 2  # type: ignore[union-attr]
    builder = kept(one).folded  # type: ignore[union-attr]
    assert seen(one)[0] == ("first", "third")
    assert kept(one).folded is builder  # type: ignore[union-attr]


def test_a_type_of_a_newer_process_stops_a_kept_state_too() -> None:
    one = client()
    names = dict(registry.by_name)
    del registry.by_name["toy.taken"]
    try:
        run(one, put("second"), slices=(COUNT,))
    finally:
        registry.by_name.clear()
        registry.by_name.update(names)
    with process(KeptStates()):
        run(one, lambda states, context: [CupTaken(by="Ada")], slices=())
    del registry.by_name["toy.taken"]
    try:
        with pytest.raises(UnknownEventVersion):
            run(one, put("third"), slices=(COUNT,))
    finally:
        registry.by_name.clear()
        registry.by_name.update(names)


def test_a_changed_upcaster_folds_anew() -> None:
    one = client()
    known = registry.by_name["toy.put"]
    loud = EventType("toy.put", 2, CupPut, {1: lambda raw: {**raw, "name": raw["name"].upper()}})
    registry.by_name["toy.put"] = registry.by_class[CupPut] = loud
    try:
        assert seen(one)[0] == ("FIRST",)
        loud.upcasters[1] = lambda raw: {**raw, "name": raw["name"] + "!"}
        assert seen(one)[0] == ("first!",)
    finally:
        registry.by_name["toy.put"] = registry.by_class[CupPut] = known


HANDLERS: dict[Any, Any] = SHELF._handlers


def test_a_changed_handler_folds_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()
    monkeypatch.setitem(HANDLERS, CupPut, lambda shelf, event, meta: shelf.cups.append("another"))
    assert seen(one)[0] == ("another",)


def test_a_record_closed_by_another_process_is_not_folded_from_before() -> None:
    one = client()
    with process(KeptStates()), unit_of_work(actor=DESK, request_id="close") as uow:
        uow.close_stream(one, (SHELF,), put("closed"))
    assert seen(one)[0] == ("closed",)
    assert kept(one) is None  # of a closed record nothing is kept


def test_closing_a_record_drops_every_state_of_it_and_of_no_other() -> None:
    one, other = client(), client(1)
    run(one, lambda states, context: [CupCounted(cups=1)], slices=(COUNT,))
    with unit_of_work(actor=DESK, request_id="close") as uow:
        uow.close_stream(one, (SHELF,), put("closed"))
    assert kept(one) is None
    assert kept(one, COUNT.name) is None
    assert kept(other) is not None


def test_what_is_kept_is_what_the_log_gives_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not the objects of the one who decided, nor their zone of time."""
    folded: list[RecordedEvent] = []
    monkeypatch.setitem(HANDLERS, CupPut, lambda shelf, event, meta: folded.append(meta))
    one = client()
    folded.clear()
    at = datetime(2026, 3, 2, 9, 0, tzinfo=ZoneInfo("America/Chicago"))
    outcome = run(one, lambda states, context: [DatedEvent(CupPut(name="second"), at)])
    (kept_one,) = folded
    assert kept_one.data is not outcome.events[0].data
    assert kept_one.occurred_at.utcoffset() == timedelta(0)
    kept_states.clear()
    seen(one)
    assert structs.replace(folded[-1], position=0) == kept_one


@pytest.mark.sqlite
def test_a_state_ahead_of_the_head_is_not_asked_about() -> None:
    one = client()
    run(one, put("lost"))
    restore(one, 1)
    assert statements(lambda: seen(one), "eventstore_storedevent") == 1


@pytest.mark.sqlite
def test_a_poisoned_client_begins_from_no_kept_state() -> None:
    one = client()
    run(one, put("second"), slices=(COUNT,))
    with unit_of_work(actor=DESK, request_id="poisoned") as uow:
        fail_deciding(one, uow)
        asked = statements(lambda: uow.states(one, (COUNT,)), "eventstore_storedevent")
    assert asked == 1
