"""Fills streams of a given length, fast: sealed and chained like any, written by COPY."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from uuid import UUID

import psycopg
from django.db import connection, transaction

from practice.core.events import RecordedEvent
from practice.eventstore.envelope import Envelope, encrypt
from practice.eventstore.models import StreamHead
from practice.eventstore.store import COLUMNS
from practice.keys.keystore import keystore
from practice.work.unit_of_work import new_client_stream
from tests.bench.record import RATER, measured

BEGAN = datetime(2025, 1, 6, 9, 0, tzinfo=UTC)


def stream(length: int, first_position: int) -> tuple[list[Envelope], UUID]:
    """The rows of a new client's stream of that many readings, two hours apart."""
    client_id = new_client_stream()
    key, mac, rows = keystore.of(client_id), b"", []
    for number in range(length):
        at = BEGAN + timedelta(hours=2 * number)
        recorded = RecordedEvent(
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
        row = encrypt(recorded, key, mac)
        mac = row.mac
        rows.append(row)
    return rows, client_id


def fill(streams: int, length: int) -> list[UUID]:
    """That many clients with streams of that length; their ids."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT nextval('eventstore_position'),"
            " setval('eventstore_position', currval('eventstore_position') + %s)",
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
            own.copy(f"COPY eventstore_storedevent ({', '.join(COLUMNS)}) FROM STDIN") as copy,
        ):
            for rows, _ in made:
                for row in rows:
                    copy.write_row(row)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE eventstore_storedevent")
    return [client_id for _, client_id in made]
