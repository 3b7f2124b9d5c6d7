"""A mail server that thinks about each message: nobody gets two mails, nobody none."""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from clients.reminders.selectors import SEND_JOB
from practice.jobs.models import ScheduledJob
from practice.management.demo_processes import DemoProcesses
from tests.builders import build_practice
from tests.harness.mailbox import Mailbox
from tests.harness.reminders_due import mails_due
from tests.harness.short_limits import LEASE_SECONDS, MAIL_SECONDS
from tests.harness.table import FaultRow, keep
from tests.harness.test_worker import mail_to, until
from tests.harness.world import processes
from tests.sessions.people import client_by_mail

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.redis,
    pytest.mark.harness,
]
MAILS = 24
"""One after another they take twice as long as a lease."""
SHORT = [sys.executable, "-m", "celery", "-A", "tests.harness.short_limits", "worker", "-c1"]


def two_workers(practice: DemoProcesses) -> None:
    """Two workers with short limits, and a beat of one tick a second."""
    for number in (1, 2):
        command = [*SHORT, f"-nshort{number}", "--without-gossip", "--without-mingle"]
        worker = practice._start(
            f"worker {number}", [*command, "--loglevel=INFO"], f"worker{number}.log"
        )
        worker.wait_until(lambda one=worker: " ready." in one.last_lines(200), 60)  # type: ignore[misc]
    practice.start_beat()


def copies(folder: Path, **env: str) -> Counter[str]:
    """How often each Message-ID was taken, once all mails are done."""
    mails_due(client_by_mail(build_practice()), MAILS)
    with Mailbox() as box:
        box.seconds = MAIL_SECONDS
        with processes(folder, **mail_to(box), **env) as practice:
            two_workers(practice)
            waiting = ScheduledJob.objects.filter(kind=SEND_JOB).exclude(status="done")
            until(lambda: not waiting.exists(), "every mail is done")
            time.sleep(2 * MAIL_SECONDS)
        box.shutdown()
        return Counter(
            next(line for line in one.splitlines() if line.startswith("Message-ID"))
            for one in box.taken
        )


def test_a_slow_server_gets_each_mail_once(tmp_path: Path) -> None:
    found = copies(tmp_path)
    how = f"{MAIL_SECONDS} s a message, {MAILS} due at once, two workers, {LEASE_SECONDS} s a lease"
    doubled = sum(found.values()) - len(found)
    keep(FaultRow("slow mail server", how, 1, MAILS, MAILS - len(found), doubled, None))
    assert (len(found), set(found.values())) == (MAILS, {1})
    assert not ScheduledJob.objects.filter(attempts__gt=0).exists()


def test_without_the_limits_a_slow_server_gets_mails_twice(tmp_path: Path) -> None:
    found = copies(tmp_path, LIMITS_OFF="1")
    assert max(found.values()) > 1
