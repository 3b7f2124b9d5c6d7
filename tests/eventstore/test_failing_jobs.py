"""Work that fails: pauses, giving up, time limits, leases of deliveries."""

import itertools
from datetime import timedelta
from typing import Any

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import OperationalError

from practice.clock import clock
from practice.core.decisions import Job
from practice.jobs import accepted, services
from practice.jobs.claims import LEASE, LeaseLost, claim_jobs
from practice.jobs.handlers import JobNotWanted
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import withdraw_due, write_jobs
from practice.jobs.retrying import JobSettings, pause_after
from practice.jobs.services import handle_one, run_due_jobs
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, mail, plan, refused
from tests.harness.table import FaultRow, keep

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)


def status_of_job() -> str:
    return ScheduledJob.objects.get().status


def test_a_mail_server_away_for_hours_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    one, now = client(), clock.now()
    mail(monkeypatch, refused)
    plan(one, kind="toy mail")
    for minute in range(0, 8 * 60, 10):
        with clock.at(now + timedelta(minutes=minute)):
            run_due_jobs()
    item = ScheduledJob.objects.get()
    assert (item.status, item.last_error) == (ScheduledJob.Status.WAITING, "OSError")
    assert 10 <= item.attempts <= 14
    mail(monkeypatch, lambda job: None)
    with clock.at(now + timedelta(hours=9)):
        done = run_due_jobs().done
    how = f"every try of 8 hours fails ({item.attempts} tries)"
    keep(FaultRow("mail server away", how, item.attempts, 1, 1 - done, None, None))
    assert done == 1


@pytest.mark.parametrize(
    ("kind", "hours", "status"),
    [
        ("toy mail", 5 * 24 - 1, ScheduledJob.Status.WAITING),
        ("toy mail", 5 * 24, ScheduledJob.Status.GIVEN_UP),
        ("toy fails", 30 * 24, ScheduledJob.Status.WAITING),
    ],
)
def test_mail_is_given_up_after_days_and_what_must_happen_never(
    kind: str, hours: int, status: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = client()
    mail(monkeypatch, refused)
    plan(one, kind=kind)
    now = clock.now()
    with clock.at(now):
        run_due_jobs()
    ScheduledJob.objects.update(attempts=29_999)
    for hour in (hours, hours + 2):
        with clock.at(now + timedelta(hours=hour)):
            run_due_jobs()
        if hour == hours:
            assert ScheduledJob.objects.get().status == status
    assert ScheduledJob.objects.get().attempts <= services.MOST_ATTEMPTS


def test_pauses_double_up_to_the_longest() -> None:
    settings = JobSettings(
        first_pause_seconds=60, longest_pause_minutes=60, delivery_days=5, direct_check_clients=1
    )
    pauses = [pause_after(n, settings) for n in range(1, 12)]
    assert pauses[:4] == [timedelta(minutes=n) for n in (1, 2, 4, 8)]
    assert pauses[6:] == [timedelta(hours=1)] * 5
    assert pause_after(30_000, settings) == timedelta(hours=1)


def test_what_is_wanted_no_more_is_not_called_done(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def unwanted(job: ScheduledJob) -> None:
        raise JobNotWanted

    mail(monkeypatch, unwanted)
    plan(client(), kind="toy mail")
    assert run_due_jobs().done == 0
    assert status_of_job() == ScheduledJob.Status.NOT_WANTED


def test_an_erasure_withdraws_what_was_given_up_too() -> None:
    one = client()
    plan(one)
    ScheduledJob.objects.update(status=ScheduledJob.Status.GIVEN_UP)
    withdraw_due(one)
    assert status_of_job() == ScheduledJob.Status.WITHDRAWN


def test_reminders_go_first_and_sweeps_last(monkeypatch: pytest.MonkeyPatch) -> None:
    one, now = client(), clock.now()
    mail(monkeypatch, lambda job: None)
    for minutes, kind in ((3, "toy sweep"), (2, "toy"), (1, "toy mail")):
        plan(one, kind=kind, due_at=now - timedelta(minutes=minutes))
    assert [item.kind for item in claim_jobs(now)] == ["toy mail", "toy", "toy sweep"]


def test_a_tick_ends_by_time_and_gives_back_what_it_did_not_begin(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one, seconds = client(), itertools.count(0, 20)
    sent: list[int] = []
    mail(monkeypatch, lambda job: sent.append(job.pk))
    for number in range(10):
        write_jobs([Job("toy mail", one, occasion=str(number))])
    monkeypatch.setattr(services.time, "monotonic", lambda: next(seconds))
    assert run_due_jobs(seconds=60).done == len(sent) < 4
    left = ScheduledJob.objects.filter(status=ScheduledJob.Status.WAITING)
    assert left.count() == 10 - len(sent)
    assert not left.exclude(claim=None, lease_until=None).exists()


def test_a_delivery_begins_with_a_whole_lease(monkeypatch: pytest.MonkeyPatch) -> None:
    leases = []
    mail(monkeypatch, lambda job: leases.append(ScheduledJob.objects.get(pk=job.pk).lease_until))
    plan(client(), kind="toy mail")
    now = clock.now()
    with clock.at(now):
        (item,) = claim_jobs(now)
    begun = now + LEASE - timedelta(seconds=1)
    with clock.at(begun):
        handle_one(item)
    assert leases == [begun + LEASE]


@pytest.mark.parametrize(("waited", "renewed"), [(LEASE / 8, False), (LEASE / 8 * 1.01, True)])
def test_a_lease_of_which_most_is_left_is_not_written_anew(
    waited: timedelta, renewed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    leases = []
    mail(monkeypatch, lambda job: leases.append(ScheduledJob.objects.get(pk=job.pk).lease_until))
    plan(client(), kind="toy mail")
    now = clock.now()
    with clock.at(now):
        (item,) = claim_jobs(now)
    with clock.at(now + waited):
        handle_one(item)
    assert leases == [now + LEASE + (waited if renewed else timedelta(0))]


def test_what_was_withdrawn_since_it_was_claimed_is_not_delivered(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one, sent = client(), list[int]()
    mail(monkeypatch, lambda job: sent.append(job.pk))
    plan(one, kind="toy mail")
    (item,) = claim_jobs(clock.now())
    plan(one, kind="toy mail", cancels=True)
    with pytest.raises(LeaseLost):
        handle_one(item)
    assert sent == []
    assert status_of_job() == ScheduledJob.Status.WITHDRAWN


def test_a_delivery_whose_lease_ran_out_is_not_begun(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[int] = []
    mail(monkeypatch, lambda job: sent.append(job.pk))
    plan(client(), kind="toy mail")
    (item,) = claim_jobs(clock.now())
    with clock.at(clock.now() + LEASE), pytest.raises(LeaseLost):
        handle_one(item)
    assert sent == []


def test_a_lease_outlives_the_task_that_holds_it(settings: Any) -> None:
    begun_with = LEASE.total_seconds() * 7 / 8
    assert begun_with > settings.CELERY_TASK_TIME_LIMIT
    steps = 10  # of one mail, from the connection to its confirmation
    assert begun_with > steps * settings.EMAIL_TIMEOUT
    assert (
        services.TICK_BUDGET_SECONDS + settings.EMAIL_TIMEOUT < settings.CELERY_TASK_SOFT_TIME_LIMIT
    )


def test_the_time_limit_is_raised_on_and_charged_to_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def over(job: ScheduledJob) -> None:
        raise SoftTimeLimitExceeded

    one = client()
    mail(monkeypatch, over)
    plan(one, kind="toy mail")
    plan(one)
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    for row in ScheduledJob.objects.all():
        assert (row.status, row.attempts, row.claim) == (ScheduledJob.Status.WAITING, 0, None)


def test_the_time_limit_after_a_mail_was_accepted_leaves_it_done(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[int] = []
    mail(monkeypatch, lambda job: sent.append(job.pk))
    finish, limits = services.finish, iter([SoftTimeLimitExceeded()])

    def interrupted(item: ScheduledJob) -> None:
        if limit := next(limits, None):
            raise limit
        finish(item)

    monkeypatch.setattr(services, "finish", interrupted)
    plan(client(), kind="toy mail")
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    assert status_of_job() == ScheduledJob.Status.DONE
    run_due_jobs()
    assert len(sent) == 1


def test_a_database_error_after_a_mail_was_accepted_does_not_send_it_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[int] = []
    mail(monkeypatch, lambda job: sent.append(job.pk))
    finish, errors = services.finish, iter([OperationalError("database is locked")] * 2)

    def locked(item: ScheduledJob) -> None:
        if error := next(errors, None):
            raise error
        finish(item)

    monkeypatch.setattr(services, "finish", locked)
    monkeypatch.setattr(accepted, "PAUSES", (0.0, 0.0, 0.0))
    plan(client(), kind="toy mail")
    assert (run_due_jobs().done, len(sent), status_of_job()) == (1, 1, ScheduledJob.Status.DONE)
