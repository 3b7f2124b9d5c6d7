"""The log's own statements on PostgreSQL: which rows each gives, in which order, how they come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import timedelta
from threading import Thread
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection, transaction
from psycopg.pq import PipelineStatus

from clients.identity.models import Client
from practice.audit import rebuild
from practice.clock import clock
from practice.core.events import DatedEvent, RecordedEvent
from practice.core.reasons import Rejected
from practice.eventstore import guards, postgresql, reading, store
from practice.eventstore.envelope import LOADED, MAC, TYPE, VERSION
from practice.eventstore.models import StoredEvent, StreamHead
from practice.keys.keystore import keystore
from practice.work.kept_states import kept_states
from practice.work.loading import load_states
from tests.bench.statements import listening
from tests.builders import build_practice
from tests.dsl import DESK
from tests.eventstore.toy import SHELF, CupCounted, CupPut, client, run
from tests.sessions.people import registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
STREAM = len(LOADED)
KINDS = ("toy.put", "toy.put", "toy.counted", "toy.put", "toy.counted")


@pytest.fixture
def one() -> UUID:
    """A stream of five: versions 3 and 5 are counts."""
    made = client()
    for number, kind in enumerate(KINDS[1:]):
        event = CupPut(name=str(number)) if kind == "toy.put" else CupCounted(cups=number)
        run(made, lambda states, context, event=event: [event])
    return made


@pytest.fixture
def another(one: UUID) -> UUID:
    """A second stream beside it."""
    return client()


@pytest.fixture
def backwards(one: UUID, another: UUID) -> Iterator[None]:
    """The rows lie in the table, and in its index of positions, in the opposite order."""
    rows = list(StoredEvent.objects.order_by("-stream", "-version").values())
    heads = list(StreamHead.objects.order_by("-stream").values())
    with guards.without_guards():
        StoredEvent.objects.all().delete()
        StreamHead.objects.all().delete()
        StoredEvent.objects.bulk_create(
            StoredEvent(**row | {"position": number}) for number, row in enumerate(rows, 1)
        )
        StreamHead.objects.bulk_create(StreamHead(**head) for head in heads)
    with connection.cursor() as cursor:  # No index gives an order that nobody asked for.
        cursor.execute("SET enable_indexscan = off; SET enable_bitmapscan = off")
    yield
    with connection.cursor() as cursor:
        cursor.execute("RESET enable_indexscan; RESET enable_bitmapscan")


def versions(rows: Sequence[Sequence[Any]]) -> list[int]:
    return [row[VERSION] for row in rows]


@pytest.mark.usefixtures("backwards")
def test_a_stream_is_read_from_its_start_in_order_without_what_is_not_wanted(one: UUID) -> None:
    assert versions(postgresql.load(one, [], 1)) == [1, 2, 3, 4, 5]
    assert versions(postgresql.load(one, ["toy.counted"], 2)) == [2, 4]


@pytest.mark.usefixtures("backwards")
def test_what_came_since_is_read_with_the_version_itself(one: UUID) -> None:
    assert versions(postgresql.load_since(one, ["toy.counted"], 1)) == [1, 2, 4]
    rows = postgresql.load_since(one, ["toy.counted"], 3)
    assert [(row[VERSION], row[TYPE]) for row in rows] == [(3, "toy.counted"), (4, "toy.put")]
    macs = dict(StoredEvent.objects.filter(stream=one).values_list("version", "mac"))
    assert [row[MAC] for row in rows] == [bytes(macs[3]), bytes(macs[4])]


@pytest.mark.usefixtures("backwards")
@pytest.mark.parametrize("at_a_time", [1, 2, 3, 5, 9])
def test_a_stream_is_read_up_to_a_version_in_parts(
    one: UUID, monkeypatch: pytest.MonkeyPatch, at_a_time: int
) -> None:
    monkeypatch.setattr(postgresql, "PART", at_a_time)
    for until, wanted in ((5, [1, 2, 4, 5]), (4, [1, 2, 4]), (3, [1, 2, 3]), (1, [1])):
        parts = list(postgresql.load_until(one, ["toy.counted"], 1, until))
        assert [version for rows in parts for version in versions(rows)] == wanted
        assert len(parts) == -(-until // at_a_time)
    last = list(postgresql.load_until(one, ["toy.counted"], 2, 3))[-1]
    assert versions(last)[-1] == 3


@pytest.mark.parametrize("at_a_time", [1, 2, 9])
def test_in_parts_the_same_is_folded_as_at_once(
    one: UUID, monkeypatch: pytest.MonkeyPatch, at_a_time: int
) -> None:
    def read() -> tuple[list[RecordedEvent], int, bytes]:
        parts = list(reading.load_until(one, 5, types=["toy.put"], start=1))
        events = [event for loaded, _ in parts for event in loaded.events]
        return events, sum(loaded.size_of([CupPut]) for loaded, _ in parts), parts[-1][1]

    whole = read()
    monkeypatch.setattr(postgresql, "PART", at_a_time)
    assert read() == whole
    assert whole[2] == bytes(StreamHead.objects.get(stream=one).mac)
    assert [event.version for event in whole[0]] == [1, 2, 4]


@pytest.mark.parametrize(
    "fails", ["practice.eventstore.envelope.decrypt", "practice.work.shared_states.fold"]
)
def test_what_fails_between_two_parts_leaves_the_connection_as_it_was(
    one: UUID, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    monkeypatch.setattr(postgresql, "PART", 1)

    def lost(*_: Any) -> Any:
        raise OSError("lost")

    with monkeypatch.context() as patch:
        patch.setattr(fails, lost)
        with pytest.raises(OSError, match="lost") as kept:
            load_states(one, (SHELF,))
    assert connection.connection.info.pipeline_status == PipelineStatus.OFF, kept
    assert StreamHead.objects.get(stream=one).version == 5


@pytest.mark.usefixtures("backwards")
def test_streams_read_together_come_one_after_the_other(one: UUID, another: UUID) -> None:
    rows = postgresql.load_streams([another, one])
    streams = [UUID(bytes=row[STREAM]) for row in rows]
    assert streams == sorted([*[one] * 5, another])
    assert versions([row for row in rows if row[STREAM] == one.bytes]) == [1, 2, 3, 4, 5]


def test_streams_read_together_are_those_asked_for(one: UUID, another: UUID) -> None:
    assert {bytes(row[STREAM]) for row in postgresql.load_streams([another])} == {another.bytes}
    assert len(postgresql.load_streams([another, one])) == 6


@pytest.mark.usefixtures("backwards")
def test_heads_are_locked_in_order_and_those_alone(one: UUID, another: UUID) -> None:
    with transaction.atomic():
        locked = postgresql.lock_heads([another, one])
        assert [row[0] for row in locked] == sorted([one, another])
        assert [row[0] for row in postgresql.lock_heads([one])] == [one]
    with transaction.atomic(), pytest.raises(Rejected):
        store.lock_heads([one, uuid4()])


def test_an_append_moves_its_own_head_and_no_other(one: UUID, another: UUID) -> None:
    before = StreamHead.objects.values().get(stream=another)
    run(one, lambda states, context: [CupPut(name="more")])
    last = StoredEvent.objects.get(stream=one, version=6)
    head = StreamHead.objects.values_list("version", "mac", "recorded_at", "starts_at_version")
    version, mac, recorded_at, start = head.get(stream=one)
    assert (version, bytes(mac), recorded_at, start) == (6, last.mac, last.recorded_at, 1)
    assert StreamHead.objects.values().get(stream=another) == before


def test_where_a_closed_stream_starts_is_written_with_its_events(one: UUID) -> None:
    with transaction.atomic():
        head = store.lock_heads([one])[one]
        head.starts_at_version = 6
        event = RecordedEvent(
            *(0, one, 6, "toy.put", clock.now(), clock.now(), DESK.id, "closes"),
            CupPut(name="last"),
        )
        store.append([(head, [event])])
    assert StreamHead.objects.get(stream=one).starts_at_version == 6


def test_a_position_is_drawn_when_the_lock_is_had(one: UUID) -> None:
    """Who waits for the lock draws after who held it: positions rise with versions."""

    def write() -> None:
        with closing(connection):
            run(one, lambda states, context: [CupPut(name="b")])

    waiting = Thread(target=write)
    with transaction.atomic():
        head = store.lock_heads([one])[one]
        waiting.start()
        until_waits(waiting)
        with connection.cursor() as cursor:
            cursor.execute("SELECT nextval('eventstore_position')")
            head.position = cursor.fetchone()[0]
        now = clock.now()
        event = RecordedEvent(*(0, one, 6, "toy.put", now, now, DESK.id, "a"), CupPut(name="a"))
        store.append([(head, [event])])
    waiting.join()
    positions = StoredEvent.objects.filter(stream=one).order_by("version")
    assert list(positions.values_list("position", flat=True)) == sorted(
        positions.values_list("position", flat=True)
    )
    assert positions.count() == 7


def until_waits(thread: Thread) -> None:
    """Until a thread waits for a lock of this database, or is over."""
    waits = (
        "SELECT count(*) FROM pg_locks AS wanted JOIN pg_locks AS held USING (pid)"
        " WHERE NOT wanted.granted AND held.relation = 'eventstore_streamhead'::regclass"
        " AND held.database = (SELECT oid FROM pg_database WHERE datname = current_database())"
    )
    with connection.cursor() as cursor:
        while thread.is_alive():
            cursor.execute(waits)
            if cursor.fetchone()[0]:
                return
            thread.join(0.01)


def test_when_it_happened_and_when_it_was_recorded_are_told_apart(one: UUID) -> None:
    earlier = clock.now() - timedelta(days=3)
    run(one, lambda states, context: [DatedEvent(CupPut(name="late"), earlier)])
    *before, late = store.load(one)
    assert late.occurred_at == earlier
    assert late.recorded_at > earlier
    stored = StoredEvent.objects.filter(stream=one).order_by("version")
    moments = list(stored.values_list("occurred_at", "recorded_at"))
    assert [(event.occurred_at, event.recorded_at) for event in [*before, late]] == moments


@pytest.mark.parametrize(("most", "together"), [(postgresql.MOST_BESIDE, True), (0, False)])
def test_rows_of_read_tables_go_with_the_events_unless_there_are_too_many(
    monkeypatch: pytest.MonkeyPatch, most: int, together: bool
) -> None:
    monkeypatch.setattr(postgresql, "MOST_BESIDE", most)
    built = build_practice()
    with listening() as heard:
        one = registered(built)
    appending = [said.text for said in heard if f"INSERT INTO {postgresql.EVENTS}" in said.text]
    assert [f'INSERT INTO "{Client._meta.db_table}"' in text for text in appending] == [together]
    assert Client.objects.get(pk=one).client_id == one
    assert rebuild.compare().differences == []


def test_rows_of_read_tables_go_with_events_that_are_copied_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(postgresql, "MANY_ROWS", 0)
    one = registered(build_practice())
    assert Client.objects.get(pk=one).client_id == one
    assert rebuild.compare().differences == []


def test_a_statement_has_no_more_values_than_the_protocol_counts() -> None:
    """Events, each with a head of its own, and the rows of read tables beside them."""
    of_each = postgresql.ROW.count("%") + postgresql.HEAD.count("%")
    assert postgresql.MANY_ROWS * of_each + postgresql.MOST_BESIDE <= postgresql.MOST_VALUES


@pytest.mark.parametrize("at_a_time", [1, 2, 9])
def test_a_state_read_in_parts_is_shared_with_its_size(
    one: UUID, monkeypatch: pytest.MonkeyPatch, at_a_time: int
) -> None:
    keystore.invalidate()  # The key is asked for between two parts.
    monkeypatch.setattr(postgresql, "PART", at_a_time)
    assert load_states(one, (SHELF,))[SHELF] == (("first", "0", "2"), 0)
    sealed = StoredEvent.objects.filter(stream=one, type="toy.put").values_list(
        "ciphertext", flat=True
    )
    assert kept_states.size == sum(len(bytes(one)) for one in sealed)
    kept_states.clear()
