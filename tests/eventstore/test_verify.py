"""``verify_log`` finds every way in which a log can be tampered with."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from practice.audit.verification import verify_log
from practice.clock import clock
from practice.eventstore import guards
from practice.eventstore.digest import digest_folder, write_digest
from practice.eventstore.models import StoredEvent, StreamHead
from tests.eventstore.toy import client, put, run

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def stream() -> UUID:
    one = client()
    for name in ("second", "third", "fourth"):
        run(one, put(name))
    return one


@pytest.fixture
def unguarded() -> Iterator[None]:
    with guards.without_guards():
        yield


def test_an_untouched_log_verifies(stream: UUID) -> None:
    found = verify_log()
    assert (found.streams, found.events, found.faults) == (1, 4, [])


CHANGES: dict[str, Any] = {
    "type": "toy.taken",
    "type_version": 2,
    "actor": UUID(int=99),
    "request_id": "other",
    "key_id": UUID(int=98),
    "ciphertext": b"other bytes",
    "mac_key_id": "other",
    "mac": b"other",
    "position": 10_000_000,
}


@pytest.mark.parametrize("column", [*CHANGES, "occurred_at", "recorded_at"])
@pytest.mark.usefixtures("unguarded")
def test_a_changed_byte_of_any_column_is_found(stream: UUID, column: str) -> None:
    value = CHANGES.get(column, clock.now())
    StoredEvent.objects.filter(stream=stream, version=2).update(**{column: value})
    assert verify_log().faults


@pytest.mark.usefixtures("unguarded")
def test_a_removed_event_is_found(stream: UUID) -> None:
    StoredEvent.objects.filter(stream=stream, version=2).delete()
    assert verify_log().faults


@pytest.mark.usefixtures("unguarded")
def test_swapped_events_are_found(stream: UUID) -> None:
    rows = StoredEvent.objects.filter(stream=stream)
    rows.filter(version=2).update(version=9)
    rows.filter(version=3).update(version=2)
    rows.filter(version=9).update(version=3)
    assert verify_log().faults


def _double(stream: UUID, version: int) -> None:
    last = StoredEvent.objects.get(stream=stream, version=4)
    last.position, last.version = last.position + 1000, version
    last.save(force_insert=True)


def test_an_event_appended_without_the_key_is_found(stream: UUID) -> None:
    _double(stream, 5)
    StreamHead.objects.filter(stream=stream).update(version=5)
    assert verify_log().faults


def test_a_cut_off_tail_is_found_by_its_head(stream: UUID) -> None:
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream, version=4).delete()
    assert verify_log().faults


def test_a_tail_cut_off_with_its_head_is_found_by_the_digest(stream: UUID) -> None:
    path = write_digest(digest_folder(), clock.now().date())
    assert verify_log().faults == []
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream, version=4).delete()
    third = StoredEvent.objects.get(stream=stream, version=3)
    StreamHead.objects.filter(stream=stream).update(
        version=3, mac=third.mac, recorded_at=third.recorded_at
    )
    assert verify_log([]).faults == []
    assert verify_log().faults == [f"{stream}: version 4 of {path.stem} is gone"]
    assert verify_log([path]).faults == verify_log().faults


def test_a_stream_deleted_whole_is_found_by_the_ordinary_check(stream: UUID) -> None:
    write_digest(digest_folder(), clock.now().date())
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream).delete()
    StreamHead.objects.filter(stream=stream).delete()
    assert [one for one in verify_log().faults if str(stream) in one]


def test_without_a_digest_the_check_says_what_it_cannot_see(stream: UUID) -> None:
    assert "digest" in verify_log().notes[0]
    write_digest(digest_folder(), clock.now().date())
    assert verify_log().notes == []


def test_a_digest_that_was_rewritten_is_found(stream: UUID) -> None:
    path = write_digest(digest_folder(), clock.now().date())
    path.write_text(path.read_text().replace('\\"version\\": 4', '\\"version\\": 3'))
    assert "digest itself" in verify_log().faults[0]


def test_a_digest_between_others_that_is_gone_is_named(stream: UUID) -> None:
    today = clock.now().date()
    paths = [write_digest(digest_folder(), today - timedelta(days=ago)) for ago in (2, 1, 0)]
    paths[1].unlink()
    assert any(paths[1].name in one for one in verify_log().faults)


def test_digests_before_the_first_may_have_been_taken_elsewhere(stream: UUID) -> None:
    today = clock.now().date()
    paths = [write_digest(digest_folder(), today - timedelta(days=ago)) for ago in (1, 0)]
    paths[0].unlink()
    assert verify_log().faults == []


def test_the_digest_of_a_night_that_was_written_and_is_gone_is_named(stream: UUID) -> None:
    call_command("run_jobs")
    (path,) = digest_folder().glob("*.json")
    path.unlink()
    assert any(path.name in one for one in verify_log().faults)


@pytest.mark.parametrize("column", ["version", "mac", "recorded_at", "starts_at_version"])
def test_a_changed_column_of_the_head_is_found(stream: UUID, column: str) -> None:
    values = {"mac": b"other", "recorded_at": clock.now()}
    StreamHead.objects.filter(stream=stream).update(**{column: values.get(column, 3)})
    assert verify_log().faults


@pytest.mark.usefixtures("unguarded")
def test_the_command_fails_when_a_fault_is_found(stream: UUID) -> None:
    StoredEvent.objects.filter(stream=stream, version=2).update(request_id="x")
    with pytest.raises(CommandError):
        call_command("verify_log")


@pytest.mark.parametrize("statement", ["UPDATE {} SET actor = stream", "DELETE FROM {}"])
def test_the_database_refuses_to_change_the_log(stream: UUID, statement: str) -> None:
    table = StoredEvent._meta.db_table
    refused = pytest.raises(DatabaseError, match="append-only")
    with refused, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(table))


@pytest.mark.postgresql
def test_postgresql_refuses_to_truncate_the_log(stream: UUID) -> None:
    refused = pytest.raises(DatabaseError, match="append-only")
    with refused, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {StoredEvent._meta.db_table}")


def test_lost_guards_are_reported_by_the_system_check() -> None:
    assert guards.check_guards(databases=["default"]) == []
    with guards.without_guards():
        found = guards.check_guards(databases=["default"])
        assert [one.id for one in found] == ["eventstore.E001"] * len(guards.TABLES)
    assert guards.installed()
