"""The way to end messages: by a link, by a word, by an address that takes none."""

from __future__ import annotations

import smtplib
from email import message_from_string
from typing import Any
from uuid import uuid4

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from rest_framework.test import APIClient

from clients.identity.domain.contact import ContactBy
from clients.identity.models import Client
from clients.reminders.models import ContactNotice
from clients.reminders.services.bounces import take_bounce
from clients.reminders.stop_links import reminder_of, stop_link
from practice.clock import clock
from practice.core.terms import Role
from practice.work.loading import load_events
from tests.builders import Built, ok
from tests.clients.reminders.given import booked_tomorrow, of_kind, on_day, reachable, tick

KIND = "session_tomorrow"
FORM = "application/x-www-form-urlencoded"


def mailed(built: Built, **details: Any) -> tuple[Any, str]:
    """A client who was mailed, and the link in the mail."""
    client_id = reachable(built, **details)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    link = mail.outbox[-1].extra_headers["List-Unsubscribe"].strip("<>")
    assert link in mail.outbox[-1].body
    return client_id, link.partition("localhost:8000")[2]


def on_list(built: Built, reason: str) -> list[str]:
    with clock.at(on_day(4, 12)):
        rows = ok(built.api(Role.OWNER).get("call-list", {"reason": reason}))["results"]
    return [one["text"] for one in rows]


def test_looking_at_the_link_ends_nothing_and_shows_nothing(built: Built) -> None:
    client_id, link = mailed(built)
    for method in ("get", "head"):
        shown = getattr(APIClient(), method)(link)
        assert shown.status_code == 200
        assert b"Rosa" not in shown.content
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.MAIL
    assert not ContactNotice.objects.exists()


@pytest.mark.parametrize("body", ["List-Unsubscribe=One-Click", ""])
def test_the_button_and_the_mail_program_end_every_kind_without_signing_in(
    built: Built, body: str
) -> None:
    client_id, link = mailed(built)
    for _ in range(2):
        answer = APIClient().post(link, body, content_type=FORM)
        assert answer.status_code == 200
        assert b"Rosa" not in answer.content
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.NONE
    changed = load_events(client_id)[-1]
    assert changed.data.changed == ("contact_by",)
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert len(mail.outbox) == 1
    assert on_list(built, "client_answered") == [
        "The client wants no more messages by mail: ask at the next visit what suits them."
    ]


def test_what_else_the_client_allows_stays(built: Built) -> None:
    also = (ContactBy.PHONE,)
    client_id, link = mailed(built, contact_also_by=also, phone="+12155550100")
    APIClient().post(link, "", content_type=FORM)
    row = Client.objects.get(pk=client_id)
    assert (row.contact_by, row.contact_also_by) == (ContactBy.PHONE, [])


def test_a_link_of_nobody_is_answered_alike(built: Built) -> None:
    client_id, link = mailed(built)
    good = APIClient().post(link[:-1] + ("0" if link[-1] != "0" else "1"), "", content_type=FORM)
    assert good.status_code == 200
    for token in ("x", "0" * 64, uuid4().hex, "%00", "é" * 40):
        wrong = APIClient().post(f"/api/v1/no-more-messages/{token}", "", content_type=FORM)
        assert wrong.content == good.content, token
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.MAIL


def test_the_link_is_of_its_reminder_alone() -> None:
    one, other = uuid4(), uuid4()
    token = stop_link(one).rpartition("/")[2]
    assert reminder_of(token) == one
    assert reminder_of(other.hex + token[32:]) is None
    assert reminder_of(token[:32]) is None


class Refusing(EmailBackend):
    """A server that takes nothing for anybody, with an answer of its own."""

    answer = (550, b"5.1.1 no such mailbox")

    def send_messages(self, messages: Any) -> int:
        raise smtplib.SMTPRecipientsRefused({"rosa@example.org": self.answer})


class Busy(Refusing):
    answer = (451, b"4.3.0 later")


def test_a_refused_address_is_asked_once_and_stands_on_the_call_list(
    built: Built, settings: Any
) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"
    tick(on_day(4))
    tick(on_day(4, 13))
    (row,) = of_kind(KIND)
    assert (row.status, row.tries) == ("refused", 1)
    (text,) = on_list(built, "address_failed")
    assert "rosa@example.org" in text
    assert ContactNotice.objects.get().words == "550 5.1.1 no such mailbox"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert (mail.outbox, of_kind(KIND)[-1].status) == ([], "listed")


def test_a_server_that_is_busy_is_asked_again(built: Built, settings: Any) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, f"{__name__}.Busy"
    tick(on_day(4))
    settings.EMAIL_BACKEND = good
    tick(on_day(4, 13))
    assert len(mail.outbox) == 1
    assert not ContactNotice.objects.exists()


def test_another_address_is_written_to_again(built: Built, settings: Any) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    good, settings.EMAIL_BACKEND = settings.EMAIL_BACKEND, f"{__name__}.Refusing"
    tick(on_day(4))
    settings.EMAIL_BACKEND = good
    ok(built.api(Role.OWNER).patch(f"clients/{client_id}", {"email": "new@example.org"}))
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert [one.to for one in mail.outbox] == [["new@example.org"]]


REPORT = """\
From: MAILER-DAEMON@mx.example
Subject: Undelivered
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="b"

--b
Content-Type: text/plain

It came back.
--b
Content-Type: message/delivery-status

Reporting-MTA: dns; mx.example

Final-Recipient: rfc822; rosa@example.org
Action: {action}
Status: {status}
Diagnostic-Code: smtp; 550 no such user

--b
Content-Type: {headers}

From: practice@localhost
Message-ID: {message_id}

--b--
"""


def report(message_id: str, **changes: str) -> str:
    values = {"action": "failed", "status": "5.1.1", "headers": "text/rfc822-headers", **changes}
    return REPORT.format(message_id=message_id, **values)


@pytest.mark.parametrize("headers", ["text/rfc822-headers", "message/rfc822"])
def test_mail_that_came_back_ends_its_address(built: Built, tmp_path: Any, headers: str) -> None:
    mailed(built)
    (row,) = of_kind(KIND)
    file = tmp_path / "report.eml"
    file.write_text(report(f"<{row.pk}@practice-record.invalid>", headers=headers))
    call_command("bounces", str(file))
    call_command("bounces", str(file))
    assert ContactNotice.objects.get().kind == "bounced"
    assert of_kind(KIND)[0].status == "refused"
    assert "came back" in on_list(built, "address_failed")[0]


@pytest.mark.parametrize(
    "changes", [{"action": "delayed"}, {"status": "4.2.2"}, {"action": "delivered"}]
)
def test_a_server_that_goes_on_trying_ends_nothing(built: Built, changes: dict[str, str]) -> None:
    mailed(built)
    (row,) = of_kind(KIND)
    text = report(f"<{row.pk}@practice-record.invalid>", **changes)
    assert not take_bounce(message_from_string(text))
    assert not ContactNotice.objects.exists()


def test_a_report_of_another_mail_is_none_of_ours(built: Built) -> None:
    mailed(built)
    assert not take_bounce(message_from_string(report("<1@elsewhere.example>")))
    assert not take_bounce(message_from_string(report(f"<{uuid4()}@practice-record.invalid>")))
    assert not take_bounce(message_from_string("Subject: hello\n\nworld"))
