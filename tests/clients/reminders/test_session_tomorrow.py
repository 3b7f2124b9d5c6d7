"""The session of tomorrow: told once, at the hour of the practice, if it is still wanted."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.core import mail
from django.db import IntegrityError, transaction

from clients.identity.domain.contact import ContactBy
from clients.reminders.models import Reminder
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from tests.builders import Built, ok
from tests.clients.reminders.given import (
    booked_tomorrow,
    job_states,
    of_kind,
    on_day,
    reachable,
    rule,
    tick,
)
from tests.sessions.booking.http import local

KIND = "session_tomorrow"


def test_it_goes_the_day_before_and_once(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    for at in (on_day(0, 12), on_day(3), on_day(4, 9)):
        tick(at)
        assert mail.outbox == []
    for hour in (10, 11, 14):
        tick(on_day(4, hour))
    (sent,) = mail.outbox
    assert sent.subject.startswith("Your visit on ")
    assert "at 3 p.m." in sent.body
    (row,) = of_kind(KIND)
    assert (row.status, row.tries, row.address) == ("sent", 1, "rosa@example.org")
    assert sent.extra_headers["Message-ID"] == f"<{row.pk}@practice-record.invalid>"
    assert sent.extra_headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_a_session_that_was_moved_is_told_at_its_new_time_alone(built: Built) -> None:
    client_id = reachable(built)
    session = booked_tomorrow(built, client_id)
    moved = {"starts_at": local(6, 15), "reason": "the room is needed"}
    ok(built.api(Role.OWNER).post(f"sessions/{session['id']}/move", moved))
    tick(on_day(4))
    assert mail.outbox == []
    tick(on_day(5))
    tick(on_day(5, 12))
    assert len(mail.outbox) == 1


def test_moved_away_and_back_it_is_still_told(built: Built) -> None:
    client_id = reachable(built)
    session = booked_tomorrow(built, client_id)
    desk = built.api(Role.OWNER)
    for day in (20, 5):
        tick(on_day(0, 12) + timedelta(minutes=day))
        ok(
            desk.post(
                f"sessions/{session['id']}/move",
                {"starts_at": local(day, 15), "reason": "as the client asked"},
            )
        )
    tick(on_day(4))
    assert len(mail.outbox) == 1


def test_told_and_then_moved_it_is_told_anew(built: Built) -> None:
    client_id = reachable(built)
    session = booked_tomorrow(built, client_id, days=1, hour=15)
    tick(on_day(0, 23))
    assert [one.status for one in of_kind(KIND)] == ["waiting"], "at night"
    ok(
        built.api(Role.OWNER).post(
            f"sessions/{session['id']}/move", {"starts_at": local(3, 15), "reason": "asked"}
        )
    )
    tick(on_day(1, 9))
    assert mail.outbox == [], "what waited is of no use any more"
    tick(on_day(2))
    assert len(mail.outbox) == 1
    assert {one.status for one in of_kind(KIND)} == {"not_wanted", "sent"}


def test_one_that_was_called_off_is_told_to_nobody(built: Built) -> None:
    client_id = reachable(built)
    session = booked_tomorrow(built, client_id)
    ok(
        built.api(Role.OWNER).post(
            f"sessions/{session['id']}/cancellation", {"by": "client", "reason": "travels"}
        )
    )
    tick(on_day(4))
    assert (mail.outbox, of_kind(KIND), job_states(KIND)) == ([], [], ["not_wanted"])


def test_after_its_begin_it_is_of_no_use(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    tick(on_day(5, 16))  # Nobody looked for what is due for a day.
    assert (mail.outbox, job_states(KIND)) == ([], ["not_wanted"])


@pytest.mark.parametrize(("lead", "sent"), [(3, 1), (2, 0)])
def test_the_practice_says_how_long_before(built: Built, lead: int, sent: int) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    tick(on_day(1))
    rule(KIND, lead_days=lead)  # Changed while it waits.
    tick(on_day(2, 12))
    assert len(mail.outbox) == sent


def test_switched_off_it_is_told_to_nobody(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    rule(KIND, is_on=False)
    tick(on_day(4))
    assert (mail.outbox, of_kind(KIND)) == ([], [])


@pytest.mark.parametrize(
    ("hours", "quiet"), [([9, 13], True), ([12, 13], False), ([], False), ([11, 11], False)]
)
def test_a_kind_may_have_its_own_quiet_hours(built: Built, hours: Any, quiet: bool) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    rule(KIND, quiet_hours=hours)
    tick(on_day(4, 11))
    assert (mail.outbox == []) is quiet
    tick(on_day(4, 14))
    assert len(mail.outbox) == 1


@pytest.mark.parametrize("way", [ContactBy.PHONE, ContactBy.NONE])
def test_by_phone_it_stands_on_the_call_list_and_in_person_nowhere(
    built: Built, way: ContactBy
) -> None:
    client_id = reachable(built, contact_by=way, phone="+12155550100")
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    with clock.at(on_day(4, 12)):
        desk = built.api(Role.OWNER)
        found = ok(desk.get("call-list", {"reason": "reminder_to_tell"}))["results"]
        assert [one["text"][:24] for one in found] == (
            ["The client is expected o"] if way is ContactBy.PHONE else []
        )


def test_told_by_the_desk_where_the_practice_wants_it_so(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    rule(KIND, channel="list")
    tick(on_day(4))
    (row,) = of_kind(KIND)
    assert (row.channel, row.status, mail.outbox) == ("list", "listed", [])


def test_without_a_postal_address_nothing_is_mailed(built: Built) -> None:
    from practice.policy.models import Practice

    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    Practice.objects.update(postal_address=" ")
    tick(on_day(4))
    assert [one.status for one in of_kind(KIND)] == ["listed"]
    assert mail.outbox == []


def test_a_wish_that_changes_meanwhile_is_honoured(built: Built, settings: Any) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    rule(KIND, quiet_hours=[9, 13])
    tick(on_day(4, 11))
    ok(built.api(Role.OWNER).patch(f"clients/{client_id}", {"email": "rosa.marsh@example.net"}))
    tick(on_day(4, 14))
    assert mail.outbox[0].to == ["rosa.marsh@example.net"]


def test_the_database_holds_that_it_is_once(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    (row,) = of_kind(KIND)
    row.pk = UUID(int=7)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reminder.objects.bulk_create([row])


def test_a_job_that_comes_again_sends_nothing_again(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    ScheduledJob.objects.filter(kind__in=("send_reminder", f"remind_{KIND}")).update(
        status="waiting", claim=None, lease_until=None
    )
    tick(on_day(4, 12))
    assert len(mail.outbox) == 1
    assert of_kind(KIND)[0].tries == 1


def test_an_erased_record_is_written_to_no_more(built: Built) -> None:
    from clients.identity.models import Client

    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    Client.objects.filter(pk=client_id).delete()
    tick(on_day(4))
    assert (mail.outbox, of_kind(KIND)) == ([], [])
    assert run_due_jobs().failed == 0
