"""What people would use instead, doing the same: plain SQL, and a library on PostgreSQL."""

from __future__ import annotations

import os
from base64 import b64encode
from datetime import UTC, datetime
from itertools import cycle
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID, uuid4

import psycopg
from eventsourcing.application import Application
from eventsourcing.domain import Aggregate, event

from tests.bench.record import measured

FIELDS = (
    *("reading_id", "movement", "side", "motion", "degrees", "position", "instrument"),
    *("rater_id", "pain", "assisted", "explanation"),
)


class Chart(Aggregate):
    """The library's aggregate with the same event and the same state."""

    def __init__(self) -> None:
        self.latest: dict[tuple[str, str], int] = {}
        self.count = 0

    @event("Measured")
    def measure(
        self,
        reading_id: UUID,
        movement: str,
        side: str,
        motion: str,
        degrees: int,
        position: str,
        instrument: str,
        rater_id: UUID,
        pain: int | None,
        assisted: bool,
        explanation: str,
    ) -> None:
        """One reading."""
        self.latest[movement, side] = degrees
        self.count += 1

    def take(self, number: int) -> None:
        """The reading of that number."""
        data = measured(number)
        self.measure(**{name: getattr(data, name) for name in FIELDS})


class Library:
    """The `eventsourcing` library on the same server: load an aggregate, change it, save it.

    ``cached`` turns on its own cache of aggregates, ``sealed`` its own encryption.
    """

    def __init__(self, url: str, *, cached: bool = False, sealed: bool = False) -> None:
        parts = urlsplit(url)
        env = {
            "PERSISTENCE_MODULE": "eventsourcing.postgres",
            "POSTGRES_DBNAME": parts.path[1:],
            "POSTGRES_HOST": parts.hostname or "",
            "POSTGRES_PORT": str(parts.port),
            "POSTGRES_USER": parts.username or "",
            "POSTGRES_PASSWORD": parts.password or "none",
        }
        if cached:
            env["AGGREGATE_CACHE_MAXSIZE"] = "1000"
        if sealed:
            env["CIPHER_TOPIC"] = "eventsourcing.cryptography:AESCipher"
            env["CIPHER_KEY"] = b64encode(os.urandom(32)).decode()
        name = f"Charts{'Cached' * cached}{'Sealed' * sealed}"
        kind: Any = type(name, (Application,), {"name": name.lower()})
        self.application: Any = kind(env=env)

    def fill(self, streams: int, length: int) -> None:
        """Charts of that length (the first event of each is its making)."""
        made = []
        for _ in range(streams):
            chart = Chart()
            for number in range(length - 1):
                chart.take(number)
            self.application.save(chart)
            made.append(chart.id)
        self._turn = cycle(made)

    def command(self) -> None:
        """Load the next chart and save one more reading."""
        chart = self.application.repository.get(next(self._turn))
        chart.take(chart.count)
        self.application.save(chart)

    def fold(self) -> int:
        """Load the next chart; how many readings it folded."""
        count: int = self.application.repository.get(next(self._turn)).count
        return count

    def close(self) -> None:
        """Give its connections back."""
        self.application.close()


class PlainSql:
    """The limit: psycopg alone, which locks, reads and writes the same rows and folds nothing."""

    TABLES = {
        "head": "eventstore_streamhead",
        "event": "eventstore_storedevent",
        "reading": "bench_measured",
    }

    def __init__(self, url: str, clients: list[UUID]) -> None:
        self.connection = psycopg.connect(url)
        for mine, theirs in self.TABLES.items():
            # The same columns, indexes and rows.
            copy = f"INSERT INTO plain_{mine} SELECT * FROM {theirs}"  # noqa: S608  names of ours
            self.connection.execute(f"CREATE TABLE plain_{mine} (LIKE {theirs} INCLUDING ALL)")
            self.connection.execute(copy)
        self.connection.commit()
        self.connection.execute("ANALYZE plain_event")
        self.connection.commit()
        self._turn = cycle(clients)

    def command(self) -> None:
        """One event more on the next stream, with its head and its row."""
        stream, run = next(self._turn), self.connection.execute
        head = run("SELECT * FROM plain_head WHERE stream = %s FOR UPDATE", [stream]).fetchone()
        assert head is not None
        rows = run(
            "SELECT * FROM plain_event WHERE stream = %s ORDER BY version", [stream], binary=True
        ).fetchall()
        now, version = datetime.now(UTC), len(rows) + 1
        last = rows[-1]
        run(
            "INSERT INTO plain_event VALUES (nextval('eventstore_position'),"
            " %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
            [stream, version, *last[3:5], now, now, *last[7:]],
        )
        run(
            "UPDATE plain_head SET version = %s, mac = %s, recorded_at = %s WHERE stream = %s",
            [version, last[12], now, stream],
        )
        run(
            "INSERT INTO plain_reading (id, client_id, version, movement, side, degrees, position,"
            " instrument, rater_id, pain, at) VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
            [
                uuid4(),
                stream,
                version,
                "flexion",
                "left",
                90,
                "supine",
                "goniometer",
                stream,
                2,
                now,
            ],
        )
        self.connection.commit()

    def close(self) -> None:
        """Close the connection."""
        self.connection.close()
