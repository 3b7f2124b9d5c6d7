"""What a projection writes and drops within one command reaches the table as it ended."""

from __future__ import annotations

from uuid import UUID

import pytest

from clients.identity.models import Client, ClientFacility
from practice.eventstore.upserting import upsert
from practice.work.loading import load_events
from practice.work.projection_runner import DatabaseRows, columns, projected_rows
from tests.builders import build_practice
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db(transaction=True)
NEW = UUID(int=77)


@pytest.fixture
def rows() -> DatabaseRows:
    return DatabaseRows(Client, registered(build_practice()))


def stored(rows: DatabaseRows) -> set[UUID]:
    upsert(rows.model, rows.to_write())
    return set(Client.objects.values_list("pk", flat=True))


def test_a_dropped_row_is_gone_from_the_table(rows: DatabaseRows) -> None:
    rows.delete(rows.client_id)
    assert stored(rows) == set()


def test_a_row_dropped_and_written_again_is_there(rows: DatabaseRows) -> None:
    kept = rows.get(rows.client_id)
    assert kept is not None
    rows.delete(rows.client_id)
    rows.put(rows.client_id, kept)
    assert stored(rows) == {rows.client_id}


def test_a_row_written_and_dropped_in_one_go_was_never_there(rows: DatabaseRows) -> None:
    kept = rows.get(rows.client_id)
    assert kept is not None
    assert kept.keys() == {one.attname for one in columns(Client)}
    rows.put(NEW, kept)
    rows.delete(NEW)
    assert stored(rows) == {rows.client_id}


def test_all_rows_of_the_client_are_found_in_the_table_but_those_just_dropped() -> None:
    client_id = registered(build_practice())
    rows = DatabaseRows(ClientFacility, client_id)
    ((key, row),) = rows.all()
    assert row["client_id"] == client_id
    dropped = DatabaseRows(ClientFacility, client_id)
    dropped.delete(key)
    assert list(dropped.all()) == []


def test_rows_of_several_clients_in_one_table_are_written_together() -> None:
    built = build_practice()
    both = sorted([registered(built), registered(built, name="Ana")])
    written = projected_rows([load_events(one) for one in both])
    tables = [model for model, _ in written]
    assert len(tables) == len(set(tables))
    assert [row["id"] for row in dict(written)[Client]] == both
