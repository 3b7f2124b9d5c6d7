"""What a delivery asks of the practice's settings: read once, and again when they change."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clients.reminders.domain.hours import ReminderSettings
from practice.clock import clock
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.policy.models import PracticeSetting
from practice.policy.selectors import settings_group
from tests.bench.statements import listening
from tests.builders import build_practice
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, mail, plan

pytestmark = pytest.mark.django_db(transaction=True)
MAILS = 3


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[ReminderSettings]:
    """What each delivery of one batch finds; the first is a delivery before all others."""
    build_practice()
    install_toy_jobs(monkeypatch)
    seen: list[ReminderSettings] = []

    def deliver(_job: ScheduledJob) -> None:
        seen.append(settings_group("reminders", ReminderSettings)[0])
        settings_group("messages", dict)

    mail(monkeypatch, deliver)
    due()
    return seen


def due() -> None:
    """Some mails."""
    for _ in range(MAILS):
        plan(client(), kind="toy mail", due_at=clock.now() - timedelta(seconds=1))


@pytest.mark.postgresql
@pytest.mark.parametrize("of_their_own", ["practice_practicesetting", "SELECT stamp FROM"])
def test_what_this_process_knows_costs_no_statement(
    found: list[ReminderSettings], of_their_own: str
) -> None:
    assert run_due_jobs().done == MAILS
    due()
    with listening() as heard:
        assert run_due_jobs().done == MAILS
    assert len(found) == 2 * MAILS
    assert heard
    jobs = "jobs_scheduledjob"
    assert not [one for one in heard if of_their_own in one.text and jobs not in one.text]


def test_a_change_counts_from_the_next_delivery_on(
    found: list[ReminderSettings], monkeypatch: pytest.MonkeyPatch
) -> None:
    def deliver(job: ScheduledJob) -> None:
        found.append(settings_group("reminders", ReminderSettings)[0])
        rows = PracticeSetting.objects.filter(group="reminders", key="quiet_until_hour")
        rows.update(value=5)

    mail(monkeypatch, deliver)
    assert run_due_jobs().done == MAILS
    assert [one.quiet_until_hour == 5 for one in found] == [False, True, True]
