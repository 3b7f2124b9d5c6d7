"""One connection for the mails of a batch; what goes wrong with one touches no other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.mail import EmailMessage

from practice.core.decisions import Job
from practice.jobs.mail import mail_connection, one_mail_connection
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.jobs.services import run_due_jobs
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, mail
from tests.harness.mailbox import Mailbox

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def box(settings: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Mailbox]:
    install_toy_jobs(monkeypatch)
    mail(monkeypatch, write)
    with Mailbox() as one:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", one.port
        yield one
        one.shutdown()


def write(job: ScheduledJob) -> None:
    with mail_connection() as connection:
        EmailMessage(
            job.occasion, "", to=[f"{job.occasion}@example.org"], connection=connection
        ).send()


def due(*occasions: str) -> None:
    one = client()
    write_jobs([Job("toy mail", one, occasion=each) for each in occasions])


def subjects(box: Mailbox) -> list[str]:
    lines = [line for one in box.taken for line in one.splitlines()]
    return [line.removeprefix("Subject: ") for line in lines if line.startswith("Subject")]


def test_the_mails_of_a_batch_go_out_over_one_connection(box: Mailbox) -> None:
    due("a", "b", "c")
    assert run_due_jobs().done == 3
    assert subjects(box) == ["a", "b", "c"]
    assert (box.greeted, box.left) == (1, 1)


def test_the_next_batch_opens_its_own(box: Mailbox) -> None:
    due("a", "b", "c")
    assert run_due_jobs(limit=2).done == 3
    assert (box.greeted, box.left) == (2, 2)


def test_without_a_batch_each_mail_has_its_own(box: Mailbox) -> None:
    for _ in range(2):
        with mail_connection():
            pass
    assert (box.greeted, box.left) == (2, 2)


def test_a_server_that_hangs_up_after_each_mail_gets_all_and_none_fails(box: Mailbox) -> None:
    box.patience = 1
    due("a", "b", "c")
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (3, 0)
    assert subjects(box) == ["a", "b", "c"]
    assert box.greeted == 3


def test_a_mail_that_is_refused_leaves_the_next_a_connection_of_its_own(box: Mailbox) -> None:
    box.refused = "b@example.org"
    due("a", "b", "c")
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (2, 1)
    assert subjects(box) == ["a", "c"]
    assert box.greeted == 2
    (row,) = ScheduledJob.objects.filter(attempts=1)
    assert (row.occasion, row.last_error) == ("b", "SMTPRecipientsRefused")


def test_a_batch_that_ends_in_an_error_leaves_the_server(box: Mailbox) -> None:
    def ends() -> None:
        with one_mail_connection():
            with mail_connection():
                pass
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        ends()
    assert (box.greeted, box.left) == (1, 1)
