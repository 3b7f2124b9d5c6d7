"""A re-check that is due: ahead, at the day, and weekly to the practice's limit."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest
from django.core import mail

from clients.identity.domain.contact import ContactBy
from clients.reminders.models import Reminder
from practice.clock import clock
from practice.core.localtime import derived_instant
from practice.core.terms import Role
from practice.jobs.services import run_due_jobs
from practice.policy.models import PracticeSetting
from sessions.stretches.models import Recheck
from tests.builders import Built, ok
from tests.sessions.booking.http import body, key
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged
from tests.sessions.stretches.test_http import writes_to


def due_later(built: Built) -> tuple[UUID, date]:
    """A client by mail whose first re-check is due in about two months."""
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    discharged(built, client_id, days=1)
    first = Recheck.objects.filter(client_id=client_id).earliest("due_on")
    return client_id, first.due_on


def tick(built: Built, day: date, hour: int = 12) -> int:
    """How many mails were out after that hour."""
    from datetime import datetime, time

    at = derived_instant(datetime.combine(day, time(hour)), built.east.zone)
    with clock.at(at):
        run_due_jobs()
    return len(mail.outbox)


def days(built: Built, due: date, offsets: list[int]) -> list[int]:
    return [tick(built, due + timedelta(days=one)) for one in offsets]


def test_ahead_at_the_day_and_then_weekly_four_times(built: Built) -> None:
    _, due = due_later(built)
    found = days(built, due, [-15, -14, -13, -1, 0, 1, 6, 7, 8, 14, 21, 28, 35, 42])
    assert found == [0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 5, 6, 6, 6]
    subjects = [one.subject for one in mail.outbox]
    assert subjects[:3] == ["Time for your next visit"] * 2 + ["Your next visit"]
    occasions = set(Reminder.objects.values_list("occasion", flat=True))
    assert occasions == {"ahead", "day", "overdue 1", "overdue 2", "overdue 3", "overdue 4"}


@pytest.mark.parametrize(("limit", "sent"), [(0, 2), (1, 3), (6, 8)])
def test_the_practice_says_how_often(built: Built, limit: int, sent: int) -> None:
    _, due = due_later(built)
    mine = PracticeSetting.objects.filter(group="remind_recheck_due", key="most_repeats")
    mine.update(value=limit)
    assert days(built, due, [-14, 0, 7, 14, 21, 28, 35, 42, 49, 56])[-1] == sent


@pytest.mark.parametrize(("after", "more"), [(7, 0), (8, 1)])
def test_a_session_near_the_date_carries_it(built: Built, after: int, more: int) -> None:
    client_id, due = due_later(built)
    assert tick(built, due - timedelta(days=14)) == 1
    from datetime import datetime, time

    at = derived_instant(datetime.combine(due + timedelta(days=after), time(10)), built.east.zone)
    sent = body(built, client_id, at.isoformat())
    ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)
    assert tick(built, due) == 1 + more


def test_one_that_was_skipped_is_told_no_more(built: Built) -> None:
    client_id, due = due_later(built)
    tick(built, due - timedelta(days=14))
    one = Recheck.objects.filter(client_id=client_id).earliest("due_on")
    ok(built.api(Role.FRONT_DESK).post(f"rechecks/{one.pk}/skip", {"reason": "moved away"}))
    assert tick(built, due) == 1


def test_after_weeks_without_a_worker_only_the_reminder_of_this_week_goes(built: Built) -> None:
    _, due = due_later(built)
    assert tick(built, due - timedelta(days=14), hour=10) == 1
    assert tick(built, due + timedelta(days=16)) == 2
    assert Reminder.objects.latest("made_at").occasion == "overdue 2"
