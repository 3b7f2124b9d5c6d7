"""A claim costs the same however much waits for a later day, and however much is due at once."""

from __future__ import annotations

import json
from typing import Any, Final

import pytest
from django.db import connection

from practice.clock import clock
from practice.core.jobs import JobOrder
from practice.jobs.claims import BATCH, claim_jobs
from practice.jobs.models import ScheduledJob
from tests.bench.statements import listening

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
DUE: Final = 10_000
TO_COME: Final = 100_000
MOST_PAGES: Final = 200
"""Read by the statements of a claim; its rows stand on some 50, the index on 1,100."""


def rows(count: int, order: JobOrder, due_at: str) -> None:
    """So many rows; ``due_at`` is the SQL of a time for row ``n``."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"""INSERT INTO {ScheduledJob._meta.db_table}
            (kind, key, subject, about, occasion, "order", due_at, status, attempts, last_error)
            SELECT 'toy', gen_random_uuid()::text, gen_random_uuid(), gen_random_uuid(), '', %s,
              {due_at}, 'waiting', 0, '' FROM generate_series(1, %s) AS n""",  # noqa: S608
            [order, count],
        )


@pytest.fixture
def to_come(db: None) -> None:
    """Much is to come of each order."""
    for order in JobOrder:
        rows(TO_COME // len(JobOrder), order, "now() + interval '1 day' + n * interval '1 s'")


def due(count: int, order: JobOrder) -> None:
    """So many fell due in the same moment, as after a change of settings."""
    rows(count, order, "now() - interval '1 s'")
    with connection.cursor() as cursor:
        cursor.execute(f"ANALYZE {ScheduledJob._meta.db_table}")


def pages_of_a_claim() -> tuple[int, int]:
    """How many rows were claimed, and how many pages the statements that look for them read."""
    with listening() as heard:
        found = claim_jobs(clock.now())
    pages = 0
    for one in heard:
        if one.text.lstrip().upper().startswith("SELECT"):
            with connection.cursor() as cursor:
                cursor.execute(f"EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) {one.text}", one.values)
                (plan,) = cursor.fetchone()
            pages += _pages(plan if isinstance(plan, list) else json.loads(plan))
    return len(found), pages


def _pages(plan: list[dict[str, Any]]) -> int:
    whole = plan[0]["Plan"]
    return int(whole["Shared Hit Blocks"] + whole["Shared Read Blocks"])


def test_a_claim_reads_no_more_than_it_takes(to_come: None) -> None:
    due(DUE, JobOrder.ORDINARY)
    found, pages = pages_of_a_claim()
    assert found == BATCH
    assert pages < MOST_PAGES


def test_nor_where_less_is_due_than_it_would_take(to_come: None) -> None:
    due(3, JobOrder.SWEEP)
    found, pages = pages_of_a_claim()
    assert found == 3
    assert pages < MOST_PAGES


@pytest.mark.parametrize("columns", ['"order", due_at', "due_at, id"])
def test_without_its_index_it_would(to_come: None, columns: str) -> None:
    due(DUE, JobOrder.ORDINARY)
    with connection.cursor() as cursor:
        for index in ("due_waiting", "job_by_status", "job_by_due"):
            cursor.execute(f"DROP INDEX {index}")
        table = ScheduledJob._meta.db_table
        cursor.execute(f"CREATE INDEX ON {table} ({columns}) WHERE status = 'waiting'")
    assert pages_of_a_claim()[1] > MOST_PAGES
