"""Mails of several reminders between two commits: counted before, written down after, each once."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from datetime import timedelta
from threading import Event
from typing import Any
from uuid import UUID

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.core import mail
from django.db import transaction

from clients.reminders.mailing import AddressRefused
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.services import sending
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs import handing_over, services
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from tests.bench.at_noon import practice_at_noon
from tests.bench.statements import listening
from tests.builders import Built, ok
from tests.clients.reminders.test_lifting import WORKS
from tests.eventstore.test_races import together
from tests.harness.mailbox import Mailbox
from tests.harness.reminders_due import mails_due
from tests.sessions.people import client_by_mail

pytestmark = pytest.mark.django_db(transaction=True)
SENT, WAITING = Reminder.Status.SENT, Reminder.Status.WAITING


@pytest.fixture
def built() -> Built:
    return practice_at_noon()


@pytest.fixture
def client_id(built: Built) -> UUID:
    return client_by_mail(built)


@pytest.fixture
def box(settings: Any) -> Iterator[Mailbox]:
    with Mailbox() as one:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", one.port
        yield one
        one.shutdown()


def job_of(row: Reminder) -> ScheduledJob:
    return ScheduledJob.objects.get(kind="send_reminder", about=row.pk)


def tries() -> list[int]:
    return sorted(Reminder.objects.values_list("tries", flat=True))


def test_each_goes_once_and_says_where_it_went(client_id: UUID) -> None:
    mails_due(client_id, 30)
    assert run_due_jobs().done == 30
    assert len({one.extra_headers["Message-ID"] for one in mail.outbox}) == 30
    assert tries() == [1] * 30
    rows = list(Reminder.objects.all())
    assert {(row.status, row.channel, bool(row.sent_at)) for row in rows} == {(SENT, "mail", True)}
    assert {(row.address,) for row in rows} == {tuple(one.to) for one in mail.outbox}


def test_all_of_them_are_counted_before_the_first_goes(
    client_id: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process that dies now may have sent any of them: it is known of each."""
    counted: list[list[int]] = []
    send = sending.send_mail

    def counting(*args: Any, **mail: Any) -> None:
        counted.append(tries())
        send(*args, **mail)

    monkeypatch.setattr(sending, "send_mail", counting)
    mails_due(client_id, 3)
    run_due_jobs()
    assert counted == [[1, 1, 1]] * 3


def test_a_server_that_is_away_was_handed_nothing(client_id: UUID, settings: Any) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    mails_due(client_id, 3)
    assert run_due_jobs().failed == 3
    assert tries() == [0, 0, 0]
    assert set(Reminder.objects.values_list("status", flat=True)) == {WAITING}


def test_a_server_that_takes_its_time_doubles_no_more_than_it_did(
    client_id: UUID, box: Mailbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After half a second no other is begun, and those that were not are not counted."""
    seen: list[tuple[int, int]] = []
    write_down = sending.taken

    def taken(jobs: Sequence[ScheduledJob]) -> None:
        seen.append((len(jobs), sum(tries())))
        write_down(jobs)

    how = sending.JobHandover(prepare=sending.prepare, taken=taken, not_begun=sending.not_begun)
    monkeypatch.setitem(services.installed.job_handovers, "send_reminder", how)
    box.seconds = handing_over.UNDER_WAY_SECONDS
    mails_due(client_id, 3)
    assert run_due_jobs().done == 3
    assert seen == [(1, 3)] * 3
    assert tries() == [1] * 3


def test_one_that_went_before_is_not_sent_again_among_others(client_id: UUID) -> None:
    at = clock.now() - timedelta(days=1)
    mails_due(client_id, 3)
    went = Reminder.objects.order_by("pk")[1].pk
    Reminder.objects.filter(pk=went).update(status=SENT, sent_at=at, tries=1)
    assert run_due_jobs().done == 3
    assert len(mail.outbox) == 2
    assert tries() == [1, 1, 1]
    assert Reminder.objects.get(pk=went).sent_at == at


def test_an_address_that_is_refused_keeps_none_back(client_id: UUID, box: Mailbox) -> None:
    box.refused = "@"
    mails_due(client_id, 3)
    assert run_due_jobs().failed == 0
    rows = ScheduledJob.objects.filter(kind="send_reminder")
    assert set(rows.values_list("status", flat=True)) == {"not_wanted"}
    assert tries() == [0, 0, 1], "who was refused is not asked again by the same group"
    assert ContactNotice.objects.filter(kind="refused").count() == 1
    box.refused = ""
    mails_due(client_id, 2)
    run_due_jobs()
    assert box.taken == [], "the address takes none: nobody is asked again"


def test_one_that_was_refused_as_the_time_was_over_stays_refused(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else nobody sends it again once its address works."""
    answers: list[Exception] = [AddressRefused("550 no such mailbox"), SoftTimeLimitExceeded()]

    def answer(*_: Any, **mail: Any) -> None:
        raise answers.pop(0)

    monkeypatch.setattr(sending, "send_mail", answer)
    for _ in range(2):
        mails_due(client_by_mail(built), 1)
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    refused = Reminder.objects.get(status=Reminder.Status.REFUSED)
    assert job_of(refused).status == ScheduledJob.Status.NOT_WANTED, "as soon as it was refused"


def test_one_that_came_back_before_its_job_was_marked_is_not_sent_again(client_id: UUID) -> None:
    """The process died after the server took it, and the mail came back."""
    mails_due(client_id, 2)
    back = Reminder.objects.order_by("pk")[0]
    Reminder.objects.filter(pk=back.pk).update(status=Reminder.Status.REFUSED, tries=1)
    assert run_due_jobs().failed == 0
    assert len(mail.outbox) == 1
    back.refresh_from_db()
    assert (back.status, back.tries) == (Reminder.Status.REFUSED, 1)
    assert job_of(back).status == ScheduledJob.Status.NOT_WANTED


def test_an_address_that_is_lifted_while_the_group_still_goes_is_written_to(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its job is over as soon as it was refused: lifting plans it again."""
    send, asked = sending.send_mail, list[UUID]()

    def answer(connection: Any, reminder_id: UUID, **mail: Any) -> None:
        asked.append(reminder_id)
        if len(asked) == 1:
            raise AddressRefused("550 no such mailbox")
        for notice in ContactNotice.objects.filter(lifted_at=None):
            ok(desk.post(f"contact-notices/{notice.pk}/lifting", WORKS))
        send(connection, reminder_id, **mail)

    desk, taken_back = built.api(Role.FRONT_DESK), list[Any]()
    monkeypatch.setattr(sending, "send_mail", answer)
    monkeypatch.setattr(sending, "not_begun", taken_back.append)
    for _ in range(2):
        mails_due(client_by_mail(built), 1)
    run_due_jobs()
    run_due_jobs()
    assert len(asked) == 3
    assert asked[2] == asked[0]
    assert taken_back == [], "the other client has the same address, which refused the first alone"
    rows = Reminder.objects.in_bulk(asked)
    assert {row.status for row in rows.values()} == {SENT}
    assert [rows[one].tries for one in asked[:2]] == [2, 1]
    assert {job_of(row).status for row in rows.values()} == {ScheduledJob.Status.DONE}


def test_one_whose_key_is_gone_fails_by_itself(
    client_id: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    mails_due(client_id, 3)
    bad = Reminder.objects.order_by("pk")[1].pk
    Reminder.objects.filter(pk=bad).update(sealed=b"damaged")
    tick = run_due_jobs()
    assert (tick.done, tick.failed, len(mail.outbox)) == (2, 1, 2)
    assert tries() == [0, 1, 1]


@pytest.mark.postgresql
def test_many_cost_few_statements(client_id: UUID, monkeypatch: pytest.MonkeyPatch) -> None:
    """A group is decided on with as many statements as one, and counted and written down so."""
    monkeypatch.setattr(handing_over, "UNDER_WAY_SECONDS", 60.0)  # However slow the machine is.
    mails_due(client_id, 2)
    run_due_jobs()
    found = []
    for count in (5, 10):
        mails_due(client_id, count)
        with listening() as heard:
            assert run_due_jobs().done == count
        found.append(len(heard))
    assert found[0] == found[1] <= 20


@pytest.mark.postgresql
def test_a_reminder_that_somebody_is_changing_is_waited_for_by_nobody_else(
    client_id: UUID,
) -> None:
    """Whoever locks several waits for none: else two wait for each other for ever."""
    mails_due(client_id, 3)
    *_, held = ScheduledJob.objects.filter(kind="send_reminder").order_by("due_at", "id")
    changing, went = Event(), list[int]()

    def change(_: int) -> None:
        with transaction.atomic():
            Reminder.objects.filter(pk=held.about).update(day=clock.now().date())
            changing.set()
            until = time.monotonic() + 10
            while not mail.outbox and time.monotonic() < until:
                time.sleep(0.05)
            went.append(len(mail.outbox))

    now = clock.now()  # Another thread would go by the machine's.

    def send(_: int) -> None:
        assert changing.wait(10)
        with clock.at(now):
            run_due_jobs()

    acts: tuple[Callable[[int], None], ...] = (change, send)
    together(lambda number: acts[number](number), 2)
    assert went[0], "some went while another was being changed"
    assert len(mail.outbox) == 3
    assert tries() == [1, 1, 1]
