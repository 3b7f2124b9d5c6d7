"""Leases go by the clock that all workers share; a worker whose own is wrong does no harm."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from practice.clock import Clock, clock
from practice.core.reasons import Rejected
from practice.jobs import accepted
from practice.jobs.claims import LEASE, LeaseLost, claim_jobs, lease_clock, renew_lease
from practice.jobs.models import ScheduledJob, TickMark
from practice.jobs.services import run_due_jobs
from practice.jobs.ticking import one_tick
from practice.work import clock_check
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, mail, plan
from tests.harness.world import database_url

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)


def wrong_by(monkeypatch: pytest.MonkeyPatch, ahead: timedelta) -> None:
    """From here on this process's clock is wrong."""
    monkeypatch.setattr(Clock, "now", lambda _self: datetime.now(UTC) + ahead)


@pytest.mark.postgresql
@pytest.mark.parametrize("ahead", [timedelta(hours=1), timedelta(hours=-1)])
def test_what_another_has_in_hand_is_taken_by_no_wrong_clock(
    monkeypatch: pytest.MonkeyPatch, ahead: timedelta
) -> None:
    """An hour ahead the other's lease seems over; an hour behind one's own is over for others."""
    mail(monkeypatch, lambda job: None)
    plan(client(), kind="toy mail", due_at=clock.now() - timedelta(days=1))
    with monkeypatch.context() as one_s:
        if ahead < timedelta(0):
            wrong_by(one_s, ahead)
        (held,) = claim_jobs(clock.now())
    with monkeypatch.context() as other_s:
        if ahead > timedelta(0):
            wrong_by(other_s, ahead)
        assert claim_jobs(clock.now()) == []
    renew_lease(held)


@pytest.mark.postgresql
def test_a_lease_that_ran_out_is_seen_by_a_clock_that_is_behind(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mail(monkeypatch, lambda job: None)
    plan(client(), kind="toy mail", due_at=clock.now() - timedelta(days=1))
    (held,) = claim_jobs(clock.now())
    past = lease_clock() - timedelta(seconds=1)
    ScheduledJob.objects.update(lease_until=past)
    held.lease_until = past
    wrong_by(monkeypatch, timedelta(hours=-1))
    with pytest.raises(LeaseLost):
        renew_lease(held)
    assert len(claim_jobs(clock.now())) == 1


@pytest.mark.postgresql
def test_a_clock_that_a_loader_holds_is_the_clock_of_leases() -> None:
    plan(client())
    held = clock.now() + timedelta(days=1)
    with clock.at(held):
        (item,) = claim_jobs(held)
    assert item.lease_until == held + LEASE


def test_a_tick_by_a_clock_that_is_ahead_does_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    plan(client())
    monkeypatch.setattr(clock_check, "clock_ahead", lambda: timedelta(hours=1))
    monkeypatch.setattr(clock_check.last_check, "at", float("-inf"))
    with pytest.raises(Rejected):
        one_tick()
    with pytest.raises(CommandError, match="clock of this server is wrong"):
        call_command("due")
    assert not TickMark.objects.exists()
    assert ScheduledJob.objects.get().attempts == 0


@pytest.mark.postgresql
def test_a_database_that_goes_away_just_then_sends_no_mail_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[int] = []

    def taken_and_cut(job: ScheduledJob) -> None:
        sent.append(job.pk)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_backend_pid()")
            (mine,) = cursor.fetchone()
        with psycopg.connect(database_url(), autocommit=True) as other:
            other.execute("SELECT pg_terminate_backend(%s, 5000)", [mine])

    mail(monkeypatch, taken_and_cut)
    monkeypatch.setattr(accepted, "PAUSES", (0.0, 0.0))
    plan(client(), kind="toy mail")
    assert run_due_jobs().done == 1
    assert (run_due_jobs().done, len(sent)) == (0, 1)
