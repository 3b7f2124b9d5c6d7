"""When a client is written to: not at night, and never instead of the call list."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.core import mail

from clients.identity.domain.contact import ContactBy
from clients.reminders.domain.hours import ReminderSettings, quiet_hours_end
from clients.reminders.mailing import send_mail
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.mail import mail_connection
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.policy.models import PracticeSetting
from tests.builders import Built, ok, refused
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged, first_open
from tests.sessions.stretches.test_http import writes_to

AWAY = "django.core.mail.backends.smtp.EmailBackend"
NIGHT = ReminderSettings(quiet_from_hour=20, quiet_until_hour=8)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("now", "until"),
    [
        ("2026-07-01T00:30", "2026-07-01T12:00"),  # 20:30 in New York: next day 08:00
        ("2026-07-01T11:59", "2026-07-01T12:00"),  # 07:59
        ("2026-07-01T12:00", None),  # 08:00
        ("2026-06-30T23:59", None),  # 19:59
        ("2026-03-08T01:30", "2026-03-08T12:00"),  # the night in which clocks go forward
        ("2026-11-01T00:30", "2026-11-01T13:00"),  # the night in which they go back
    ],
)
def test_quiet_hours_are_those_of_the_clients_own_day(now: str, until: str | None) -> None:
    found = quiet_hours_end(utc(now), "America/New_York", NIGHT)
    assert found == (utc(until) if until else None)


def test_the_same_hour_twice_means_no_quiet_hours() -> None:
    never = ReminderSettings(quiet_from_hour=8, quiet_until_hour=8)
    assert quiet_hours_end(utc("2026-07-01T03:00"), "UTC", never) is None


@pytest.fixture
def due(built: Built) -> str:
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    discharged(built, client_id)
    return str(client_id)


def night(**hours: int) -> None:
    for key, hour in hours.items():
        PracticeSetting.objects.filter(group="reminders", key=key).update(value=hour)


@pytest.mark.django_db(transaction=True)
def test_at_night_the_call_list_has_it_and_the_mail_waits(built: Built, due: Any) -> None:
    night(quiet_from_hour=20, quiet_until_hour=8)
    late = (clock.now() + timedelta(days=1)).replace(hour=7, minute=30)  # 02:30 or 03:30 local
    with clock.at(late):
        run_due_jobs()
    assert mail.outbox == []
    assert first_open(built, due)["status"] == "on_call_list"
    with clock.at(late + timedelta(hours=6)):
        run_due_jobs()
    assert len(mail.outbox) == 1


@pytest.mark.django_db(transaction=True)
def test_a_mail_server_that_is_away_never_keeps_it_off_the_call_list(
    built: Built, due: Any, settings: Any
) -> None:
    settings.EMAIL_BACKEND = AWAY
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (2, 1)
    assert first_open(built, due)["status"] == "on_call_list"
    assert ScheduledJob.objects.get(kind="send_reminder").attempts == 1


def mail_status(built: Built, client_id: Any) -> Any:
    return first_open(built, client_id)["mail_status"]


@pytest.mark.django_db(transaction=True)
def test_the_call_list_says_how_the_mail_stands_and_the_owner_puts_it_back(
    built: Built, due: Any, settings: Any
) -> None:
    night(quiet_from_hour=8, quiet_until_hour=8)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, AWAY
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    assert mail_status(built, due) == "none"
    run_due_jobs()
    assert mail_status(built, due) == "not_sent_yet"
    PracticeSetting.objects.filter(group="jobs", key="delivery_days").update(value=1)
    for days in (1, 3):
        with clock.at(clock.now() + timedelta(days=days)):
            run_due_jobs()
    assert mail_status(built, due) == "given_up"
    owner = built.api(Role.OWNER)
    (shown,) = ok(owner.get("jobs", {"status": "given_up"}))["results"]
    assert (shown["kind"], shown["last_error"]) == ("send_reminder", "ConnectionRefusedError")
    settings.EMAIL_BACKEND = good
    assert ok(owner.post("jobs/putting-back", {"reason": "the server is back"})) == {"put_back": 1}
    row = ScheduledJob.objects.get(kind="send_reminder")
    assert (row.status, row.attempts, row.first_failed_at) == ("waiting", 0, None)
    (kept,) = ok(owner.get("setting-changes", {"table": "jobs.ScheduledJob"}))["results"]
    assert kept["before"]["status"] == "given_up"
    assert (kept["after"]["status"], kept["after"]["reason"]) == ("waiting", "the server is back")
    run_due_jobs()
    assert (mail_status(built, due), len(mail.outbox)) == ("sent", 1)
    again = owner.post("jobs/putting-back", {"reason": "once more"})
    refused(again, 409, "nothing_given_up")


@pytest.mark.django_db(transaction=True)
def test_mail_that_the_client_allows_no_more_is_not_sent(
    built: Built, due: Any, settings: Any
) -> None:
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, AWAY
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    run_due_jobs()
    settings.EMAIL_BACKEND = good
    writes_to(built, UUID(due), ContactBy.PHONE)
    with clock.at(clock.now() + timedelta(hours=1)):
        run_due_jobs()
    assert (mail_status(built, due), mail.outbox) == ("not_wanted", [])


def test_a_server_that_is_left_in_a_hurry_has_its_message(monkeypatch: Any) -> None:
    def slow(self: Any) -> None:
        raise SoftTimeLimitExceeded

    monkeypatch.setattr("django.core.mail.backends.locmem.EmailBackend.close", slow)
    with mail_connection() as connection:
        send_mail(connection, uuid4(), to="rosa@example.org", mail=("a", "b"), stop_at="c")
    assert len(mail.outbox) == 1
