"""Processes killed with -9 at random moments under load: nothing acknowledged is lost."""

import json
import random
import subprocess
import sys
import time
from collections import Counter, defaultdict
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db.models import Q, QuerySet

from billing.authorizations.models import Authorization
from clients.consent.models import Consent
from clients.identity.models import Client
from practice.audit import rebuild
from practice.audit.verification import verify_log
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.management.demo_processes import DemoProcesses
from practice.management.processes import free_port, is_free
from sessions.calendar.models import Session
from sessions.measurements.models import Reading
from sessions.notes.models import Note
from tests.billing.practice_rows import payer
from tests.builders import PASSWORD, Built, build_practice, seal_practice, token_for
from tests.conftest import FULL
from tests.harness.furnishing import READING, authorization
from tests.harness.table import FaultRow, keep
from tests.harness.test_worker import until
from tests.harness.world import may_sign_in, processes
from tests.sessions.booking.http import local

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgresql,
    pytest.mark.redis,
]
ROUNDS, CALLERS = (50, 20) if FULL else (5, 4)
SEED = 20_274  # Of its first five kills two hit the server, two the worker, one the beat.


def told(built: Built, address: str) -> dict[str, Any]:
    """What the callers are to do."""
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    return {
        "address": address,
        "seed": SEED,
        "callers": CALLERS,
        "password": PASSWORD,
        "tokens": {
            role.value: token_for(built.staff[role])
            for role in (Role.FRONT_DESK, Role.PRACTITIONER)
        },
        "consent": {
            "regions": [{"region": "shoulder", "side": "both"}],
            "techniques": ["active_isolated"],
            "form": "paper",
            "occurred_at": clock.now().isoformat(),
            "obtained_by": "Front desk",
            "language": "en",
        },
        # Too few visits and units for what is signed: some must stay uncovered.
        "authorization": authorization(payer().pk, number="LOAD-1", visits=2, units=4),
        "reading": READING,
        "booking": {
            "practitioner_id": str(paula.pk),
            "facility_id": str(built.east.pk),
            "room_id": str(built.rooms["East 1"].pk),
            "minutes": 60,
        },
        "first_slot": local(3, 9),
        "note": {
            "device": "phone",
            "sequence": 1,
            "subjective": "Slept well.",
            "minutes": {"stretching": 30, "cardio": 15, "strength": 10, "measuring_and_talk": 5},
            "not_counted_minutes": 0,
            "objective": "No hitching.",
            "assessment": "Gains.",
            "plan": "Same again.",
        },
    }


class Load:
    """The callers' process and what was acknowledged to them."""

    def __init__(self, folder: Path, what: dict[str, Any]) -> None:
        self.lines = folder / "load.jsonl"
        (folder / "told.json").write_text(json.dumps(what))
        told, log = folder / "told.json", folder / "load.log"
        with told.open() as stdin, self.lines.open("w") as stdout, log.open("w") as stderr:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "tests.harness.load"],
                stdin=stdin,
                stdout=stdout,
                stderr=stderr,
                cwd=settings.BASE_DIR,
            )

    def acknowledged(self) -> dict[str, list[str]]:
        """Ids by what was done."""
        found: dict[str, list[str]] = defaultdict(list)
        for line in self.lines.read_text().split("\n")[:-1]:  # The last may be half written.
            what, named = json.loads(line)
            found[what].append(named)
        return found

    def until_some_more(self, what: str, count: int = 1) -> None:
        """Wait until so many more answers of a kind have come, however slow the machine is."""
        wanted = len(self.acknowledged()[what]) + count
        until(lambda: len(self.acknowledged()[what]) >= wanted, f"{wanted} times {what}")

    def until_all_was_done(self) -> None:
        """Wait until something of every kind was acknowledged."""
        until(lambda: KEPT.keys() <= self.acknowledged().keys(), "something of every kind")

    def end(self) -> None:
        """Let the callers finish what they are at."""
        self.process.terminate()
        self.process.wait(60)


def kill_at_random(practice: DemoProcesses, address: str) -> Counter[str]:
    """Kill the server, the worker or the beat at a random moment and start it again."""
    chance, killed = random.Random(SEED), Counter[str]()
    port = int(address.rsplit(":", 1)[1])
    start = {
        "API server": lambda: practice.start_server(port),
        "worker": practice.start_worker,
        "beat": practice.start_beat,
    }
    for _ in range(ROUNDS):
        time.sleep(chance.uniform(0.5, 1.5))
        name = chance.choices(list(start), weights=[6, 3, 1])[0]
        process = next(one for one in practice.group.processes if one.name == name)
        process.kill()
        process.popen.wait(10)
        process.end()
        end = time.monotonic() + 10
        while name == "API server" and not is_free(port) and time.monotonic() < end:
            time.sleep(0.05)  # The last of the group may still hold the socket.
        practice.group.processes.remove(process)
        killed[name] += 1
        start[name]()
    return killed


def overlapping(rows: list[Session]) -> list[str]:
    """Booked sessions that hold one practitioner, room or client at one time."""
    found = []
    for who in ("practitioner_id", "room_id", "client_id"):
        held: dict[Any, list[Session]] = defaultdict(list)
        for row in rows:
            held[getattr(row, who)].append(row)
        for times in held.values():
            times.sort(key=lambda row: row.starts_at)
            found += [f"{who} {a.pk} {b.pk}" for a, b in pairwise(times) if b.starts_at < a.ends_at]
    return found


def used_up() -> QuerySet[Authorization]:
    """Authorizations that came to their end: only of these overdrawing was tried."""
    return Authorization.objects.filter(Q(visits_used=2) | Q(units_used=4))


KEPT = {
    "registered": lambda: Client.objects.values_list("pk", flat=True),
    "consented": lambda: Consent.objects.values_list("client_id", flat=True),
    "authorized": lambda: Authorization.objects.values_list("pk", flat=True),
    "measured": lambda: Reading.objects.values_list("pk", flat=True),
    "booked": lambda: Session.objects.values_list("pk", flat=True),
    "signed": lambda: Note.objects.values_list("session_id", flat=True),
}
"""What was acknowledged, and the ids of what is there."""


def acknowledged_and_kept(done: dict[str, list[str]]) -> tuple[list[str], list[str]]:
    """What was acknowledged and is not there, and what was acknowledged twice."""
    lost: list[str] = []
    doubled: list[str] = []
    for what, rows in KEPT.items():
        assert done[what], f"nothing was {what}: the load proves little\n{done['refused'][:5]}"
        there = {str(one) for one in rows()}
        lost += [f"{what} {one}" for one in done[what] if one not in there]
        doubled += [f"{what} {one}" for one, times in Counter(done[what]).items() if times > 1]
    return lost, doubled


def test_every_acknowledged_write_survives_killed_processes(tmp_path: Path) -> None:
    built = build_practice()
    may_sign_in()
    with processes(tmp_path) as practice:
        address = practice.start_server(free_port())
        practice.start_worker()
        practice.start_beat()
        load = Load(tmp_path, told(built, address))
        try:
            load.until_some_more("registered")
            killed = kill_at_random(practice, address)
            load.until_all_was_done()
            until(used_up().exists, "an authorization comes to its end")
        finally:
            load.end()
    done = load.acknowledged()
    assert done["broken"] == []
    assert done["unanswered"] == []
    assert sum(killed.values()) == ROUNDS
    assert {"API server", "worker"} <= set(killed)
    lost, doubled = acknowledged_and_kept(done)
    writes = sum(len(done[what]) for what in KEPT)
    how = ", ".join(f"{name} {times}" for name, times in sorted(killed.items()))
    keep(
        FaultRow(
            "processes killed under load",
            f"kill -9 at random: {how}",
            ROUNDS,
            writes,
            len(lost),
            len(doubled),
            len(done["broken"]),
        )
    )
    assert (lost, doubled) == ([], [])
    seal_practice()  # the builders write plainly
    assert verify_log().faults == []
    assert rebuild.compare().differences == []
    assert (
        overlapping(
            list(Session.objects.filter(status__in=("booked", "arrived"), late_entry=False))
        )
        == []
    )
    for row in Authorization.objects.all():
        assert (row.visits_used <= 2, row.units_used <= 4, row.over_used) == (True, True, False)
    print(f"{sum(map(len, done.values()))} answers, {dict(killed)} killed")
