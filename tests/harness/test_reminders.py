"""Reminders by two beats and four workers that are killed with -9: none lost, each made once."""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from clients.reminders.models import Reminder
from practice.management.demo_processes import DemoProcesses
from practice.management.processes import Process
from tests.builders import build_practice
from tests.conftest import FULL
from tests.harness.mailbox import Mailbox
from tests.harness.reminders_due import all_sent, reminders_due
from tests.harness.table import FaultRow, keep
from tests.harness.test_worker import mail_to
from tests.harness.world import Broker, processes
from tests.sessions.people import client_by_mail

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgresql,
    pytest.mark.redis,
    pytest.mark.harness,
]
WORKERS, BEATS = 4, 2
KILLS = 40 if FULL else 6
DUE = 10_000 if FULL else 150
LONGEST = 1800 if FULL else 240
SHORT = [sys.executable, "-m", "celery", "-A", "tests.harness.short_limits", "worker", "-c1"]


@pytest.fixture
def mailbox() -> Iterator[Mailbox]:
    with Mailbox() as box:
        yield box
        box.shutdown()


def a_worker(practice: DemoProcesses, number: int) -> Process:
    command = [
        *SHORT,
        f"-nkilled{number}",
        "--without-gossip",
        "--without-mingle",
        "--loglevel=INFO",
    ]
    return practice._start(f"worker {number}", command, f"worker{number}.log")


def wait_until_sent(count: int) -> float:
    """The seconds until every reminder was sent."""
    start = time.monotonic()
    while not all_sent(count):
        assert time.monotonic() - start < LONGEST, "some reminder never went"
        time.sleep(0.2)
    return time.monotonic() - start


def copies(box: Mailbox) -> Counter[str]:
    """How often each Message-ID was taken."""
    return Counter(
        next(line for line in one.splitlines() if line.startswith("Message-ID"))
        for one in box.taken
    )


def told_of(fault: str, how: str, rounds: int, box: Mailbox) -> None:
    """Keep the row; what came twice bears the same id and is counted by its reminder."""
    found = copies(box)
    doubled = sum(found.values()) - len(found)
    keep(FaultRow(fault, how, rounds, DUE, DUE - len(found), doubled, None))
    assert len(found) == DUE
    assert Reminder.objects.count() == DUE
    assert doubled <= sum(one.tries - 1 for one in Reminder.objects.filter(tries__gt=1))


def test_workers_killed_between_claim_and_finish(tmp_path: Path, mailbox: Mailbox) -> None:
    client = client_by_mail(build_practice())
    chance = random.Random(20_274)
    mailbox.seconds = 0.02
    with processes(tmp_path, **mail_to(mailbox)) as practice:
        workers = [a_worker(practice, number) for number in range(WORKERS)]
        for one in workers:
            one.wait_until(lambda one=one: " ready." in one.last_lines(200), 60)  # type: ignore[misc]
        for _ in range(BEATS):
            practice.start_beat()
        reminders_due(client, DUE)
        for number in range(KILLS):
            time.sleep(chance.uniform(0.2, 1.0))
            victim = chance.randrange(WORKERS)
            workers[victim].kill()  # With the child that does the work.
            workers[victim].popen.wait(10)
            workers[victim] = a_worker(practice, WORKERS + number)
        seconds = wait_until_sent(DUE)
    how = f"{BEATS} beats, {WORKERS} workers, {KILLS} kills -9; {seconds:.0f} s after the last"
    told_of("workers killed over reminders", how, KILLS, mailbox)


def test_a_day_without_beat_and_broker(tmp_path: Path, mailbox: Mailbox) -> None:
    client = client_by_mail(build_practice())
    broker = Broker(tmp_path)
    broker.start()
    with processes(tmp_path, REDIS_URL=broker.url, **mail_to(mailbox)) as practice:
        practice.start_worker()
        beat = practice.start_beat()
        beat.kill()
        beat.popen.wait(10)
        broker.stop()
        reminders_due(client, DUE)
        time.sleep(3)
        assert not mailbox.taken
        broker.start()
        practice.start_beat()
        seconds = wait_until_sent(DUE)
    broker.stop()
    how = f"beat killed, Redis stopped, both back: {DUE} due at once, {seconds:.0f} s"
    told_of("beat and Redis away", how, 1, mailbox)
    assert max(copies(mailbox).values()) == 1
