"""Fills streams of a given length, fast: sealed and chained like any, written by COPY."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from uuid import UUID

import psycopg
from django.db import connection, transaction

from practice.domain.events import Recorded
from practice.eventlog.envelope import Envelope, seal
from practice.eventlog.models import StreamHead
from practice.eventlog.runner import new_client_stream
from practice.eventlog.store import COLUMNS
from practice.keys.keystore import keystore
from tests.bench.record import RATER, measured

BEGAN = datetime(2025, 1, 6, 9, 0, tzinfo=UTC)


def stream(length: int, first_position: int) -> tuple[list[Envelope], UUID]:
    """The rows of a new client's stream of that many readings, two hours apart."""
    client_id = new_client_stream()
    key, mac, rows = keystore.of(client_id), b"", []
    for number in range(length):
        at = BEGAN + timedelta(hours=2 * number)
        recorded = Recorded(
            first_position + number,
            client_id,
            number + 1,
            "bench.measured",
            at,
            at,
            RATER,
            "bench",
            measured(number),
        )
        row = seal(recorded, key, mac)
        mac = row.mac
        rows.append(row)
    return rows, client_id


def fill(streams: int, length: int) -> list[UUID]:
    """That many clients with streams of that length; their ids."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT nextval('eventlog_position'),"
            " setval('eventlog_position', currval('eventlog_position') + %s)",
            [streams * length],
        )
        first = cursor.fetchone()[0]
    positions = range(first, first + streams * length + 1, length)
    made = [stream(length, position) for position, _ in pairwise(positions)]
    with transaction.atomic():
        StreamHead.objects.bulk_create(
            StreamHead(
                stream=client_id,
                version=length,
                mac=rows[-1].mac,
                recorded_at=rows[-1].recorded_at,
            )
            for rows, client_id in made
        )
        with (
            psycopg.Cursor(connection.connection) as own,
            own.copy(f"COPY eventlog_storedevent ({', '.join(COLUMNS)}) FROM STDIN") as copy,
        ):
            for rows, _ in made:
                for row in rows:
                    copy.write_row(row)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE eventlog_storedevent")
    return [client_id for _, client_id in made]
