"""What an address had refused is decided again once it works: sent once, or said why not."""

from __future__ import annotations

from email import message_from_string
from typing import Any
from uuid import UUID

import pytest
from django.core import mail

from clients.identity.domain.contact import ContactBy
from clients.identity.models import Client
from clients.reminders.mailing import message_id
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.services.bounces import take_bounce
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, ok
from tests.clients.reminders.given import booked_tomorrow, of_kind, on_day, reachable, rule, tick
from tests.clients.reminders.test_ending_messages import report
from tests.clients.reminders.test_lifting import AGAIN, WORKS

KIND = "session_tomorrow"
CANCELLED = {"by": "client", "reason": "Has a cold."}
REFUSING = "tests.clients.reminders.test_ending_messages.Refusing"


def refused_one(built: Built, settings: Any, **details: Any) -> UUID:
    """A reminder of tomorrow's session that the address refused."""
    client_id = reachable(built, **details)
    booked_tomorrow(built, client_id)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, REFUSING
    tick(on_day(4))
    settings.EMAIL_BACKEND = good
    assert [one.status for one in of_kind(KIND)] == ["refused"]
    return client_id


def lifted(built: Built, hour: int = 12, day: int = 4, **body: str) -> Any:
    with clock.at(on_day(day, hour)):
        notice = ContactNotice.objects.filter(lifted_at=None).get()
        return ok(lifting(built, notice, body or WORKS))["sent_again"]


def lifting(built: Built, notice: ContactNotice, body: dict[str, str]) -> Any:
    """By a desk that signs in then."""
    return built.api(Role.FRONT_DESK).post(f"contact-notices/{notice.pk}/lifting", body)


def test_it_goes_out_once_after_the_address_works_again(built: Built, settings: Any) -> None:
    refused_one(built, settings)
    (row,) = of_kind(KIND)
    assert lifted(built) == [{"reminder_id": str(row.pk), "kind": KIND, "why_not": ""}]
    for hour in (13, 14):
        tick(on_day(4, hour))
    assert len(mail.outbox) == 1
    (row,) = of_kind(KIND)
    assert (row.status, row.tries) == ("sent", 2)
    notice = ContactNotice.objects.get()
    with clock.at(on_day(4, 15)):
        assert ok(lifting(built, notice, WORKS))["sent_again"] == []
    tick(on_day(4, 15))
    assert len(mail.outbox) == 1


@pytest.mark.parametrize("why", ["over", "off", "cancelled", "no_message"])
def test_what_is_not_to_the_point_any_more_says_why_and_stays_unsent(
    built: Built, settings: Any, why: str
) -> None:
    client_id = refused_one(built, settings)
    if why == "off":
        rule(KIND, is_on=False)
    if why == "cancelled":
        with clock.at(on_day(4, 11)):
            desk, of_theirs = built.api(Role.FRONT_DESK), {"client_id": str(client_id)}
            (one,) = ok(desk.get("sessions", of_theirs))["results"]
            ok(desk.post(f"sessions/{one['id']}/cancellation", CANCELLED))
    if why == "no_message":
        Client.objects.filter(pk=client_id).update(contact_by=ContactBy.NONE, contact_also_by=[])
    (found,) = lifted(built, day=6 if why == "over" else 4)
    said = {
        "over": "Its occasion is over.",
        "off": "What it was about is not to be told any more.",
        "cancelled": "What it was about is not to be told any more.",
        "no_message": "The client wishes no message now, or none of their addresses takes one.",
    }
    assert found["why_not"] == said[why]
    tick(on_day(6, 13))
    assert mail.outbox == []
    with clock.at(on_day(6, 14)):
        rows = ok(built.api(Role.OWNER).get("reminders", {"client_id": str(client_id)}))
    assert [(one["status"], one["why_not"]) for one in rows["results"]] == [
        ("not_wanted", said[why])
    ]


def test_of_two_that_go_together_the_second_is_told_by_the_desk(
    built: Built, settings: Any
) -> None:
    """The address refused the first: the second is decided by that, as it would be alone."""
    client_id = reachable(built)
    for hour in (14, 16):
        booked_tomorrow(built, client_id, hour=hour)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, REFUSING
    tick(on_day(4))
    settings.EMAIL_BACKEND = good
    rows = of_kind(KIND)
    assert sorted((one.status, one.channel, one.tries) for one in rows) == [
        ("listed", "list", 0),
        ("refused", "mail", 1),
    ]
    refused = next(one for one in rows if one.status == "refused")
    assert [one["reminder_id"] for one in lifted(built)] == [str(refused.pk)]
    tick(on_day(4, 13))
    assert [one.extra_headers["Message-ID"] for one in mail.outbox] == [message_id(refused.pk)]


def test_refused_again_the_address_fails_again(built: Built, settings: Any) -> None:
    refused_one(built, settings)
    lifted(built)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, REFUSING
    tick(on_day(4, 13))
    settings.EMAIL_BACKEND = good
    assert ContactNotice.objects.filter(lifted_at=None).count() == 1
    tick(on_day(4, 14))
    assert (mail.outbox, of_kind(KIND)[0].status) == ([], "refused")
    assert [one["why_not"] for one in lifted(built, 15, **AGAIN)] == [""]


def test_a_mail_that_came_back_is_sent_again_and_may_come_back_again(built: Built) -> None:
    reachable_id = reachable(built)
    booked_tomorrow(built, reachable_id)
    tick(on_day(4))
    (row,) = of_kind(KIND)
    came = message_from_string(report(f"<{row.pk}@practice-record.invalid>"))
    assert take_bounce(came)
    lifted(built)
    assert take_bounce(came), "the same report once more"
    assert not ContactNotice.objects.filter(lifted_at=None).exists()
    tick(on_day(4, 13))
    assert len(mail.outbox) == 2
    assert take_bounce(came)
    assert ContactNotice.objects.filter(lifted_at=None).count() == 1
    assert Reminder.objects.get().status == "refused"


def test_a_mail_that_came_back_was_sent_when_it_went_again(built: Built) -> None:
    booked_tomorrow(built, reachable(built))
    tick(on_day(4))
    (row,) = of_kind(KIND)
    assert take_bounce(message_from_string(report(f"<{row.pk}@practice-record.invalid>")))
    lifted(built)
    (waits,) = of_kind(KIND)
    assert (waits.status, waits.sent_at) == ("waiting", None)
    tick(on_day(4, 13))
    assert of_kind(KIND)[0].sent_at == on_day(4, 13)


def test_reminders_of_another_address_stay_as_they_are(built: Built, settings: Any) -> None:
    client_id = refused_one(built, settings)
    Reminder.objects.update(address_code="another")
    assert lifted(built) == []
    assert Reminder.objects.get(client_id=client_id).status == "refused"
