"""A reminder keeps to the hours that the client named; they say more than the quiet hours."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import pytest
from django.core import mail

from clients.identity.domain.contact import ContactBy, ContactHours, contact_begins
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.services import run_due_jobs
from tests.builders import Built, ok
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged
from tests.sessions.stretches.test_http import writes_to

HOURS = ContactHours(starts=time(9), ends=time(17, 30))


@pytest.mark.parametrize(
    ("now", "begins"),
    [
        ("2026-07-01T12:59", "2026-07-01T13:00"),  # 08:59 in New York.
        ("2026-07-01T13:00", None),  # 09:00
        ("2026-07-01T21:29", None),  # 17:29
        ("2026-07-01T21:30", "2026-07-02T13:00"),  # 17:30: tomorrow.
        ("2026-07-02T02:00", "2026-07-02T13:00"),  # 22:00 of the day before there.
        ("2026-03-07T23:00", "2026-03-08T13:00"),  # Clocks go forward in the night.
        ("2026-10-31T23:00", "2026-11-01T14:00"),  # They go back.
    ],
)
def test_hours_are_told_on_the_clients_clock(now: str, begins: str | None) -> None:
    at = datetime.fromisoformat(now).replace(tzinfo=UTC)
    found = contact_begins(at, "America/New_York", HOURS)
    assert found == (datetime.fromisoformat(begins).replace(tzinfo=UTC) if begins else None)


@pytest.mark.django_db(transaction=True)
def test_mail_waits_for_the_hours_that_the_client_named(built: Built) -> None:
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    hours = {"contact_hours": {"starts": "21:00", "ends": "22:00"}, "zone": "UTC"}
    ok(built.api(Role.FRONT_DESK).patch(f"clients/{client_id}", hours))
    discharged(built, client_id)
    tomorrow = (clock.now() + timedelta(days=1)).replace(minute=30)
    with clock.at(tomorrow.replace(hour=15)):
        run_due_jobs()
    assert mail.outbox == [], "a time at which the practice would write"
    with clock.at(tomorrow.replace(hour=21)):
        run_due_jobs()
    assert len(mail.outbox) == 1, "a time at which the practice would not"
