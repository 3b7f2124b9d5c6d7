"""The rows of the log, read in bulk, are the rows as they were written."""

from __future__ import annotations

import hmac
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from uuid import UUID

import pytest
from django.db import transaction

from practice.audit.verification import verify_log
from practice.core.events import RecordedEvent
from practice.eventstore import store
from practice.eventstore.envelope import LOADED, ChainedRow, Envelope, canonical, mac_of
from practice.eventstore.models import StoredEvent, StreamHead
from tests.dsl import DESK
from tests.eventstore import toy

LEAP = datetime(1969, 12, 31, 23, 59, 59, 999_999, tzinfo=UTC)
AT = datetime(2026, 2, 28, 12, 0, 0, 1, tzinfo=UTC)
ROW = Envelope(
    position=12,
    stream=UUID(bytes=b"s" * 16),
    version=1,
    type="toy.put",
    type_version=1,
    occurred_at=LEAP,
    recorded_at=AT,
    actor=UUID(bytes=b"a" * 16),
    request_id="é",
    key_id=UUID(bytes=b"k" * 16),
    ciphertext=b"sealed",
    mac_key_id="key",
    mac=b"left out",
)


@pytest.fixture(autouse=True)
def _toy_is_known() -> Iterator[None]:
    with toy.registered():
        yield


def test_the_bytes_that_the_chain_binds_stay_what_they_are() -> None:
    assert canonical(ChainedRow.of(ROW)) == (
        b"2:12"
        b"16:ssssssssssssssss"
        b"1:1"
        b"7:toy.put"
        b"1:1"
        b"2:-1"
        b"16:1772280000000001"
        b"16:aaaaaaaaaaaaaaaa"
        b"2:\xc3\xa9"
        b"16:kkkkkkkkkkkkkkkk"
        b"6:sealed"
        b"3:key"
    )


def test_the_chain_is_the_hmac_of_the_row_before_and_of_those_bytes() -> None:
    row, previous, key = ChainedRow.of(ROW), b"the mac before", b"secret"
    bound = b"14:the mac before" + canonical(row)
    assert mac_of(row, previous, key) == hmac.digest(key, bound, "sha256")


@pytest.mark.parametrize(
    ("firsts", "start"),
    [([1], 1), ([1, 7], 7), ([1, 7, 9], 7), ([2], 2), ([2, 7], 2), ([], 1)],
)
def test_folding_starts_at_the_first_event_under_a_second_key(
    firsts: Sequence[int], start: int
) -> None:
    assert store.start_by_keys(firsts) == start


def cups(stream: UUID, names: Sequence[str], *, after: int = 0) -> list[RecordedEvent]:
    return [
        RecordedEvent(
            *(0, stream, number, "toy.put", LEAP if number % 2 else AT, AT, DESK.id, "bulk"),
            toy.CupPut(name=name),
        )
        for number, name in enumerate(names, after + 1)
    ]


def append(streams: Sequence[UUID], count: int) -> None:
    with transaction.atomic():
        heads = store.lock_heads(streams)
        store.append(
            [
                (head, cups(stream, [f"cup {n}" for n in range(count)], after=head.version))
                for stream, head in heads.items()
            ]
        )


@pytest.mark.django_db(transaction=True)
def test_what_is_read_for_the_chain_is_what_the_columns_say() -> None:
    one = toy.client()
    append([one], 3)
    with transaction.atomic():
        read = list(store.every_row())
        assert list(store.every_row(one)) == read  # And once more in the same transaction.
    columns = StoredEvent.objects.order_by("stream", "version").values_list(*store.COLUMNS)
    assert read == [ChainedRow.of(Envelope._make(row)) for row in columns]
    assert [row.occurred_at for row in read[1:]] == [1772280000000001, -1, 1772280000000001]


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
def test_the_log_is_read_twice_in_one_transaction() -> None:
    append([toy.client()], 2)
    with transaction.atomic():
        assert list(store.every_row()) == list(store.every_row())


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
@pytest.mark.parametrize("rows", [1, 2, 3, 4])
def test_every_row_is_read_once_however_many_come_at_a_time(
    monkeypatch: pytest.MonkeyPatch, rows: int
) -> None:
    from practice.eventstore import postgresql

    monkeypatch.setattr(postgresql, "FETCH", f"FETCH {rows} FROM every_row")
    append([toy.client()], 2)
    assert [row.version for row in store.every_row()] == [1, 2, 3]
    assert next(iter(store.every_row())).version == 1  # Left in the middle: nothing hangs.
    assert StoredEvent.objects.count() == 3


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
@pytest.mark.parametrize("count", [2, 3])
def test_many_events_are_appended_like_few(monkeypatch: pytest.MonkeyPatch, count: int) -> None:
    from practice.eventstore import postgresql

    monkeypatch.setattr(postgresql, "MANY_ROWS", 4)
    streams = sorted([toy.client(1), toy.client(2)])
    append(streams, count)  # four rows go in by one statement, six by COPY
    append(streams, 1)
    assert verify_log().faults == []
    for stream in streams:
        assert StreamHead.objects.get(stream=stream).version == count + 2
        names = [one.data.name for one in store.load(stream)]  # type: ignore[attr-defined]
        assert names == ["first", *(f"cup {n}" for n in range(count)), "cup 0"]


@pytest.mark.django_db(transaction=True)
def test_streams_read_together_are_those_read_one_by_one() -> None:
    streams = [toy.client(number) for number in range(3)]
    append(streams[:2], 2)
    nobody = UUID(int=5)
    together = store.stored_streams([*streams, nobody])
    assert together.keys() == set(streams)
    for stream in streams:
        assert together[stream].events() == store.load(stream)
        assert together[stream].starts_at_version == 1


@pytest.mark.django_db(transaction=True)
def test_what_lies_before_the_start_is_not_opened() -> None:
    one = toy.client()
    append([one], 2)
    closed = store.stored_streams([one])[one]._replace(starts_at_version=3)
    assert [event.version for event in closed.events()] == [3]


def test_a_third_key_moves_no_start() -> None:
    def row(version: int, key_id: bytes) -> tuple[object, ...]:
        values: dict[str, object] = {"version": version, "key_id": key_id}
        return tuple(values.get(name) for name in LOADED)

    rows = [row(1, b"a"), row(2, b"a"), row(3, b"b"), row(4, b"c")]
    assert store.StoredStream.of(UUID(int=1), rows[:2]).starts_at_version == 1
    assert store.StoredStream.of(UUID(int=1), rows).starts_at_version == 3
