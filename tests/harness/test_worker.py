"""A real worker and beat on a real Redis: due work is done, once, whatever dies meanwhile."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import UUID

import pytest

from clients.reminders.selectors import SEND_JOB
from practice.clock import clock
from practice.jobs.models import ScheduledJob
from practice.work import loading
from sessions.stretches.domain.events import RecheckPutOnCallList
from tests.builders import build_practice
from tests.harness.mailbox import Mailbox
from tests.harness.table import FaultRow, keep
from tests.harness.world import Broker, processes, wake_through
from tests.sessions.people import client_by_mail
from tests.sessions.stretches.stories import discharged

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.redis,
    pytest.mark.harness,
]
SECONDS = 120
"""Processes start several times as slowly where two suites run on one machine."""


@pytest.fixture
def mailbox() -> Iterator[Mailbox]:
    with Mailbox() as box:
        yield box
        box.let_go.set()
        box.shutdown()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    """A Redis of this test's own, which the web side in this process wakes too."""
    from practice.celery import app

    one = Broker(tmp_path)
    one.start()
    before = app.conf.broker_url
    wake_through(one.url)
    yield one
    wake_through(before)
    one.stop()


def until(happened: Callable[[], object], what: str) -> None:
    """Wait for something, however slow the machine is."""
    end = time.monotonic() + SECONDS
    while not happened():
        assert time.monotonic() < end, f"not in {SECONDS} s: {what}"
        time.sleep(0.05)


def calls(client_id: UUID) -> int:
    """How often the client's re-check was put on the call list, by the log."""
    return sum(isinstance(one.data, RecheckPutOnCallList) for one in loading.load_events(client_id))


def is_done() -> bool:
    return ScheduledJob.objects.filter(kind=SEND_JOB, status=ScheduledJob.Status.DONE).exists()


def mail_to(mailbox: Mailbox) -> dict[str, str]:
    return {"EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": str(mailbox.port)}


def test_what_falls_due_with_a_request_is_done_without_waiting_for_a_tick(
    tmp_path: Path, mailbox: Mailbox, broker: Broker
) -> None:
    built = build_practice()
    client_id = client_by_mail(built)
    with processes(tmp_path, REDIS_URL=broker.url, **mail_to(mailbox)) as practice:
        practice.start_worker()  # And no beat: only the request can have woken it.
        discharged(built, client_id, days=70)
        until(is_done, "the reminder of ten days ago goes out")
    assert (calls(client_id), len(mailbox.taken)) == (1, 1)
    assert "To: rosa@example.org" in mailbox.taken[0]


def test_a_worker_killed_over_its_work_loses_nothing_and_does_nothing_twice(
    tmp_path: Path, mailbox: Mailbox, broker: Broker
) -> None:
    built = build_practice()
    client_id = client_by_mail(built)
    mailbox.let_go.clear()
    with processes(tmp_path, REDIS_URL=broker.url, **mail_to(mailbox)) as practice:
        first = practice.start_worker()
        discharged(built, client_id, days=70)
        until(mailbox.holding.is_set, "the reminder stands before the mail server")
        first.kill()
        first.popen.wait(10)
        mailbox.let_go.set()
        held = ScheduledJob.objects.get(kind=SEND_JOB)
        assert (held.status, held.claim is not None, mailbox.taken) == ("waiting", True, [])
        # Its lease runs for minutes; let it be over.
        ScheduledJob.objects.filter(pk=held.pk).update(lease_until=clock.now())
        practice.start_worker()
        practice.start_beat()
        until(is_done, "another worker does it at the next tick")
        time.sleep(2)  # Ticks go on; the task that the first held comes back too.
    sent, how = len(mailbox.taken), "kill -9 while the mail server holds the message"
    keep(FaultRow("worker killed over a mail", how, 1, 1, int(sent < 1), max(sent - 1, 0), None))
    assert (calls(client_id), len(mailbox.taken)) == (1, 1)


def test_without_a_broker_requests_are_answered_and_the_next_tick_does_the_work(
    tmp_path: Path, mailbox: Mailbox, broker: Broker
) -> None:
    built = build_practice()
    client_id = client_by_mail(built)
    with processes(tmp_path, REDIS_URL=broker.url, **mail_to(mailbox)) as practice:
        practice.start_worker()
        practice.start_beat()
        broker.stop()
        discharged(built, client_id, days=70)
        assert not is_done()
        broker.start()
        until(is_done, "the tick finds it when the broker is back")
    assert (calls(client_id), len(mailbox.taken)) == (1, 1)
