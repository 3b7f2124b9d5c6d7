"""The database goes away under load, again and again: 503 until it is back, nothing lost."""

from __future__ import annotations

import time
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest

from practice.audit import rebuild
from practice.audit.verification import verify_log
from practice.management.processes import free_port
from tests.builders import build_practice, seal_practice
from tests.conftest import FULL
from tests.harness.gate import Gate
from tests.harness.table import FaultRow, keep
from tests.harness.test_kills import Load, acknowledged_and_kept, told
from tests.harness.world import database_url, may_sign_in, processes

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgresql,
    pytest.mark.redis,
]
ROUNDS = 20 if FULL else 4


def test_a_database_that_goes_away_is_a_503_and_loses_nothing(tmp_path: Path) -> None:
    built = build_practice()
    may_sign_in()
    parts = urlsplit(database_url())
    gate = Gate(parts.port or 5432)
    user = parts.netloc.rpartition("@")[0]
    url = urlunsplit(parts._replace(netloc=f"{user}@127.0.0.1:{gate.port}"))
    with processes(tmp_path, DATABASE_URL=url) as practice:
        address = practice.start_server(free_port())
        load = Load(tmp_path, told(built, address))
        try:
            for _ in range(ROUNDS):
                load.until_some_more("measured")
                gate.close()
                time.sleep(1)
                load.until_some_more("unavailable", 2)
                gate.open()
            load.until_all_was_done()
        finally:
            load.end()
    gate.close()
    done = load.acknowledged()
    lost, doubled = acknowledged_and_kept(done)
    writes = sum(len(done[what]) for what in ("registered", "measured", "booked", "signed"))
    keep(
        FaultRow(
            "database away under load",
            "a gate before PostgreSQL refuses and cuts connections for 1 s and more",
            ROUNDS,
            writes,
            len(lost),
            len(doubled),
            len(done["broken"]),
        )
    )
    assert (lost, doubled, done["broken"], done["unanswered"]) == ([], [], [], [])
    assert len(done["unavailable"]) > ROUNDS, "hardly anybody met the outage: this proves little"
    seal_practice()  # the builders write plainly
    assert verify_log().faults == []
    assert rebuild.compare().differences == []
