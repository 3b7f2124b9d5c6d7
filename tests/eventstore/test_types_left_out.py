"""A load leaves out the types that nobody asks for, however many there are."""

from __future__ import annotations

import psycopg
import pytest
from django.db import connection

from practice.core.events import Event
from practice.eventstore import store
from practice.eventstore.envelope import SizedEvents, encrypt
from practice.keys.keystore import keystore
from tests.eventstore.toy import CupCounted, CupPut, client, put, run

STATEMENTS = ("LOAD", "LOAD_SINCE", "LOAD_UNTIL")


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
@pytest.mark.parametrize("name", STATEMENTS)
def test_no_row_is_compared_with_each_name(name: str) -> None:
    """A prepared statement knows no values: what it does with the names must not depend on them."""
    from practice.eventstore import postgresql

    statement = getattr(postgresql, name)
    places = statement.count("%s")
    for number in range(places):
        statement = statement.replace("%s", f"${number + 1}", 1)
    connection.ensure_connection()
    with psycopg.Cursor(connection.connection) as cursor:
        cursor.execute("SET plan_cache_mode = force_generic_plan")
        cursor.execute(f"PREPARE one AS {statement}")
        given = ", ".join(["NULL"] * places)
        try:
            cursor.execute(f"EXPLAIN EXECUTE one ({given})")
            plan = "\n".join(line for (line,) in cursor.fetchall())
        finally:
            cursor.execute("DEALLOCATE one")
            cursor.execute("RESET plan_cache_mode")
    assert "hashed SubPlan" in plan, plan


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("types", [None, [], ["toy.put"], ["toy.counted", "toy.put"]])
def test_only_the_types_asked_for_come(types: list[str] | None) -> None:
    one = client()
    run(one, put("second"))
    run(one, lambda states, context: [CupCounted(cups=2)])
    everything = ["toy.put", "toy.put", "toy.counted"]
    wanted = [name for name in everything if types is None or name in types]
    assert [event.type for event in store.load(one, types=types)] == wanted


@pytest.mark.django_db(transaction=True)
def test_sizes_are_the_stored_bytes_of_each_class() -> None:
    one = client()
    run(one, put("a longer name than the first"))
    run(one, lambda states, context: [CupCounted(cups=2)])
    loaded = store.load_sized(one, types=["toy.put", "toy.counted"], start=1)
    key = keystore.of(one)
    stored = [
        (type(event.data), len(encrypt(event, key, b"").ciphertext)) for event in loaded.events
    ]
    asked: list[list[type[Event]]] = [[CupPut], [CupCounted], [CupPut, CupCounted]]
    for kinds in asked:
        assert loaded.size_of(kinds) == sum(size for kind, size in stored if kind in kinds)
    assert SizedEvents().size_of([CupPut]) == 0
