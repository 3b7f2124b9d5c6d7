"""The runner: one transaction, fresh facts under the lock, nothing half-written."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.identity.models import ClientFacility
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Reactor
from practice.core.events import DatedEvent, RecordedEvent, UnknownEventVersion, registry
from practice.core.reasons import Rejected
from practice.eventstore.models import StoredEvent
from practice.eventstore.upserting import upsert
from practice.keys.keystore import PRACTICE_SUBJECT, keystore
from practice.work import loading
from practice.work.idempotency import IdempotencyClaim, Replay, StoredResponse
from practice.work.models import IdempotencyRecord
from practice.work.unit_of_work import unit_of_work
from tests.dsl import DESK
from tests.eventstore.toy import COUNT, SHELF, CupCounted, CupPut, client, put, run, take

pytestmark = pytest.mark.django_db(transaction=True)


def test_decided_events_are_stored_in_order_and_fold_back() -> None:
    one = client()
    run(one, put("second"))
    outcome = run(one, take("Ada"))
    assert outcome.version == 3
    assert loading.load_states(one, (SHELF,))[SHELF] == (("first", "second"), 1)


def test_states_are_frozen_once_until_an_event_changes_them() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="frozen") as uow:
        first = uow.states(one, (SHELF,))[SHELF]
        assert uow.states(one, (SHELF,))[SHELF] is first
        uow.execute(one, (SHELF,), put("second"))
        assert uow.states(one, (SHELF,))[SHELF] == (("first", "second"), 0)


def test_payloads_are_not_readable_in_the_database() -> None:
    one = client()
    run(one, put("a telling name"))
    assert all(b"telling" not in bytes(row.ciphertext) for row in StoredEvent.objects.all())


def test_a_refusal_leaves_nothing_behind() -> None:
    one = client()
    run(one, take("Ada"))
    with pytest.raises(Rejected):
        run(one, take("Ben"))
    assert loading.stream_version(one) == 2


def test_a_stale_version_is_refused_with_the_current_one() -> None:
    one = client()
    run(one, put("second"))
    with pytest.raises(Rejected) as refusal:
        run(one, put("third"), if_match=1)
    assert refusal.value.status == 412
    assert refusal.value.extra == {"current_version": 2}


def test_an_unknown_client_is_404() -> None:
    with pytest.raises(Rejected) as refusal:
        run(uuid4(), put("x"))
    assert refusal.value.status == 404


def test_recorded_time_never_runs_backwards_in_a_stream() -> None:
    one = client()
    with clock.at(datetime(2001, 1, 1, tzinfo=UTC)):
        outcome = run(one, put("from the past"))
    events = loading.load_events(one)
    assert outcome.events[0].recorded_at == events[0].recorded_at


def test_what_happened_cannot_lie_in_the_future() -> None:
    one = client()
    tomorrow = clock.now() + timedelta(days=1)
    with pytest.raises(Rejected) as refusal:
        run(one, lambda states, context: [DatedEvent(CupPut(name="x"), tomorrow)])
    assert refusal.value.fields.keys() == {"occurred_at"}


def test_a_reactor_adds_to_the_same_batch_and_sees_the_new_event() -> None:
    reactor = Reactor(
        "toy reactor",
        (CupPut,),
        (SHELF, COUNT),
        lambda recorded, states, facts, context: [CupCounted(cups=len(states[SHELF][0]))],
    )
    one = client()
    installed.reactors.append(reactor)
    try:
        outcome = run(one, put("second"))
    finally:
        installed.reactors.remove(reactor)
    assert [type(event.data) for event in outcome.events] == [CupPut, CupCounted]
    assert loading.load_states(one, (COUNT,))[COUNT] == 2


def test_more_rows_are_written_than_one_statement_takes_values() -> None:
    one, facility = uuid4(), uuid4()
    rows = [
        {"id": uuid4(), "client_id": one, "version": number, "facility_id": facility}
        for number in range(1, 16_501)
    ]
    assert len(rows) * len(rows[0]) > 65_535  # 16 bits in the protocol of PostgreSQL
    upsert(ClientFacility, rows)
    assert ClientFacility.objects.filter(client_id=one).count() == len(rows)


def _counting(monkeypatch: pytest.MonkeyPatch, *on: type[CupPut | CupCounted]) -> None:
    counted: list[int] = []

    def count(recorded: Any, states: Any, facts: Any, context: Any) -> list[CupCounted]:
        counted.append(len(states[SHELF][0]))
        assert len(counted) < 2_000, "nobody stops it"
        return [CupCounted(cups=counted[-1])]

    reactor = Reactor("toy reactor", on, (SHELF,), count)
    monkeypatch.setattr(installed, "reactors", [*installed.reactors, reactor])


def test_one_decision_may_make_hundreds_of_events(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()
    _counting(monkeypatch, CupPut)
    outcome = run(one, lambda states, ctx: [CupPut(name=str(number)) for number in range(500)])
    assert len(outcome.events) == 1000


def test_reactors_that_answer_each_other_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    one = client()
    _counting(monkeypatch, CupPut, CupCounted)
    with pytest.raises(RuntimeError, match="without end"):
        run(one, put("second"))
    assert loading.stream_version(one) == 1


def test_a_step_after_the_append_gets_the_stored_events(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[RecordedEvent] = []
    monkeypatch.setattr(installed, "after_append", [*installed.after_append, seen.extend])
    one = client()
    outcome = run(one, put("second"))
    assert [event.data for event in seen] == [CupPut(name="first"), CupPut(name="second")]
    assert seen[1:] == outcome.events
    assert all(event.position for event in seen)


def test_a_step_that_fails_leaves_nothing_of_its_events(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(events: Sequence[RecordedEvent]) -> None:
        raise OSError("the disk is full")

    one = client()
    monkeypatch.setattr(installed, "after_append", [*installed.after_append, fail])
    with pytest.raises(OSError, match="the disk is full"):
        run(one, put("second"))
    assert loading.load_states(one, (SHELF,))[SHELF][0] == ("first",)


def test_a_closed_stream_begins_again_at_its_closing_events(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    cleared: list[UUID] = []
    monkeypatch.setattr(installed, "erasables", [*installed.erasables, cleared.append])
    one, other = client(), client(1)
    with unit_of_work(actor=DESK, request_id="close") as uow:
        outcome = uow.close_stream(one, (SHELF,), put("closed"))
    assert cleared == [one]
    assert loading.load_states(one, (SHELF,))[SHELF][0] == ("closed",)
    keys = [row.key_id for row in StoredEvent.objects.filter(stream=one).order_by("version")]
    assert keys == [keystore.of(one).id, keystore.of(PRACTICE_SUBJECT).id]
    with pytest.raises(Rejected) as refusal:
        run(one, put("more"))
    assert refusal.value.code == "record_closed"
    assert run(one, put("gone"), after_closing=True).version == outcome.version + 1
    assert loading.load_states(other, (SHELF,))[SHELF][0] == ("first",)


def test_a_stream_stays_open_where_no_closing_event_is_decided() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="close") as uow:
        uow.close_stream(one, (SHELF,), lambda states, context: [])
    assert run(one, put("second")).version == 2
    assert loading.load_states(one, (SHELF,))[SHELF][0] == ("first", "second")


def test_a_second_command_in_one_unit_sees_the_first() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="two") as uow:
        uow.execute(one, (SHELF,), take("Ada"))
        with pytest.raises(Rejected):
            uow.execute(one, (SHELF,), take("Ben"))
    assert loading.load_states(one, (SHELF,))[SHELF][1] == 1


def test_a_unit_inside_a_unit_is_an_error() -> None:
    with unit_of_work(actor=DESK, request_id="outer"), pytest.raises(RuntimeError):  # noqa: SIM117
        with unit_of_work(actor=DESK, request_id="inner"):
            pass


def test_a_type_from_the_future_stops_every_write_to_that_client() -> None:
    one = client()
    run(one, take("Ada"))
    known = registry.by_name.pop("toy.taken")
    try:
        with pytest.raises(UnknownEventVersion):
            run(one, put("more"), slices=(COUNT,))
    finally:
        registry.by_name["toy.taken"] = known


def test_views_of_an_earlier_day_leave_out_what_was_recorded_later() -> None:
    one = client()
    before = clock.now()
    run(one, put("later"))
    known = loading.load_states(one, (SHELF,), known_at=before)[SHELF]
    assert known == (("first",), 0)


def claim(body: bytes = b"{}", key: str = "k1") -> IdempotencyClaim:
    return IdempotencyClaim(caller=DESK.id, key=key, method="POST", path="/x", body=body)


def answered(one, body: bytes = b"{}") -> None:
    with unit_of_work(actor=DESK, request_id="first", claim=claim(body)) as uow:
        uow.execute(one, (SHELF,), put("again"))
        uow.response = StoredResponse(201, b"made", {"ETag": '"2"'})


def test_a_repeated_key_gets_the_stored_answer_and_does_nothing() -> None:
    one = client()
    answered(one)
    with pytest.raises(Replay) as replay:
        answered(one)
    assert replay.value.response == StoredResponse(201, b"made", {"ETag": '"2"'})
    assert loading.stream_version(one) == 2
    assert b"made" not in bytes(IdempotencyRecord.objects.get().response or b"")


def test_a_key_with_another_body_is_refused() -> None:
    one = client()
    answered(one)
    with pytest.raises(Rejected) as refusal:
        answered(one, b'{"other": 1}')
    assert refusal.value.status == 422


def test_a_failed_request_does_not_use_its_key_up() -> None:
    one = client()
    with pytest.raises(Rejected), unit_of_work(actor=DESK, request_id="f", claim=claim()) as uow:
        uow.execute(one, (SHELF,), put("x"), if_match=99)
    answered(one)
    assert loading.stream_version(one) == 2


def test_a_key_is_free_again_after_a_day() -> None:
    one = client()
    answered(one)
    with clock.at(clock.now() + timedelta(hours=25)):
        answered(one, b'{"other": 1}')
    assert loading.stream_version(one) == 3


def test_unwrapped_keys_are_dropped_when_forgotten() -> None:
    one = client()
    ciphertext = keystore.encrypt(one, b"draft")
    keystore.invalidate()
    assert keystore.decrypt(one, ciphertext) == b"draft"
    assert b"draft" not in ciphertext
