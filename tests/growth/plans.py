"""How PostgreSQL answers the statements of a request: from an index, or by reading a table."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, Final

from django.db import connection

from tests.bench.statements import Statement
from tests.growth.rows import SIZE

LARGE: Final = SIZE // 2
"""Rows from which on no table is read through."""
MOST: Final = 1_000
"""Rows of one table that a statement may touch for a page of 20: fifty of each client on it, or
those of the days around the one that was asked for; a hundredth of the table."""


def faults_of(heard: list[Statement], most: int = MOST) -> list[str]:
    """What is wrong with the plans of these statements."""
    large = _large_tables()
    found = []
    for one in heard:
        if one.text.lstrip().upper().startswith("SELECT"):
            found += [
                f"{fault}: {one.text[:1500]} {one.values}" for fault in _faults(one, large, most)
            ]
    return found


def _faults(one: Statement, large: set[str], most: int) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, FORMAT JSON) {one.text}", one.values)
        (found,) = cursor.fetchone()
    plans = found if isinstance(found, list) else json.loads(found)
    for node in _nodes(plans[0]["Plan"]):
        table = node.get("Relation Name")
        if table not in large:
            continue
        touched = _touched(node)
        if node["Node Type"].endswith("Seq Scan"):
            yield f"{table} is read through"
        elif touched > most:
            index = node.get("Index Name", "a bitmap")
            yield f"{table} by {index}: {touched} rows touched"


def _touched(node: dict[str, Any]) -> int:
    """Rows that a scan gave on and threw away, all its rounds together."""
    thrown = ("Rows Removed by Filter", "Rows Removed by Index Recheck")
    each = node["Actual Rows"] + sum(node.get(one, 0) for one in thrown)
    return int(each * node["Actual Loops"])


def _nodes(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield node
    for below in node.get("Plans", ()):
        yield from _nodes(below)


def _large_tables() -> set[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname FROM pg_class WHERE relkind = 'r' AND reltuples > %s", [LARGE]
        )
        return {name for (name,) in cursor.fetchall()}
