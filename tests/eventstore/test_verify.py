"""``verify_log`` finds every way in which a log can be tampered with."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from practice.audit.verification import verify_log
from practice.clock import clock
from practice.eventstore import guards
from practice.eventstore.digest import check_digest, write_digest
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


def test_a_tail_cut_off_with_its_head_is_found_by_the_digest(stream: UUID, tmp_path: Path) -> None:
    path = write_digest(tmp_path, clock.now().date())
    assert check_digest(path) == []
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream, version=4).delete()
    third = StoredEvent.objects.get(stream=stream, version=3)
    StreamHead.objects.filter(stream=stream).update(version=3, mac=third.mac)
    assert verify_log().faults == []
    assert len(check_digest(path)) == 1


def test_a_digest_that_was_rewritten_is_found(stream: UUID, tmp_path: Path) -> None:
    path = write_digest(tmp_path, clock.now().date())
    path.write_text(path.read_text().replace('\\"version\\": 4', '\\"version\\": 3'))
    assert "digest itself" in check_digest(path)[0]


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
        assert [one.id for one in guards.check_guards(databases=["default"])] == ["eventstore.E001"]
    assert guards.installed()
