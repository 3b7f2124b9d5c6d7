"""Text messages: to a number given for it, one a day and three a week, ended by a word."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.core import mail
from django.db import IntegrityError, transaction

from clients.identity.domain.contact import ContactBy, Phone
from clients.identity.models import Client
from clients.reminders.domain.gsm import length
from clients.reminders.mailing import AddressRefused
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.services.notices import take_replies
from clients.reminders.texting import FileTexts
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, ok
from tests.clients.reminders.given import (
    NUMBER,
    booked_tomorrow,
    by_text,
    of_kind,
    on_day,
    reachable,
    tick,
)

KIND = "session_tomorrow"


@pytest.fixture(autouse=True)
def texts(tmp_path: Path, settings: Any) -> Path:
    settings.TEXT_FILE_PATH = tmp_path
    return tmp_path


def out(texts: Path) -> list[str]:
    return [one.read_text() for one in sorted((texts / "out").glob("*.txt"))]


def reply(texts: Path, words: str, number: str = NUMBER, name: str = "r1") -> None:
    (texts / "in").mkdir(exist_ok=True)
    (texts / "in" / f"{name}.txt").write_text(f"{number}\n{words}\n")
    take_replies()


def test_a_text_goes_to_the_number_given_for_it(built: Built, texts: Path) -> None:
    booked_tomorrow(built, by_text(built))
    tick(on_day(4))
    (sent,) = out(texts)
    number, _, text = sent.partition("\n")
    assert number == NUMBER
    assert length(text.strip()) <= 160
    assert (mail.outbox, of_kind(KIND)[0].channel) == ([], "text")


def test_a_number_that_was_not_given_for_texts_gets_none(built: Built, texts: Path) -> None:
    phones = (Phone(number="+12155550100"), Phone(number=NUMBER, texts=True))
    client_id = reachable(built, contact_by=ContactBy.TEXT, phone="+12155550100", phones=phones)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    assert out(texts)[0].startswith(NUMBER)


@pytest.mark.parametrize("hour", [9, 17])
def test_one_a_day(built: Built, texts: Path, hour: int) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id, hour=hour)
    booked_tomorrow(built, client_id, hour=hour + 2)
    tick(on_day(4))
    assert len(out(texts)) == 1
    tick(on_day(5, 8))  # The second may go from the next day on, if it is still of use.
    assert len(out(texts)) == 2


def test_the_database_holds_that_a_day_has_one(built: Built, texts: Path) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    booked_tomorrow(built, client_id, days=6)
    tick(on_day(4))
    tick(on_day(5))
    first, second = of_kind(KIND)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reminder.objects.filter(pk=second.pk).update(text_day=first.text_day)


def test_three_in_seven_days(built: Built, texts: Path) -> None:
    client_id = by_text(built)
    for days in (2, 3, 4, 5, 8, 9):
        booked_tomorrow(built, client_id, days=days)
    counts = []
    for day in range(1, 9):
        tick(on_day(day))
        counts.append(len(out(texts)))
    # Days 1, 2 and 3 have theirs; that of day 4 is of no use any more on day 8.
    assert counts == [1, 2, 3, 3, 3, 3, 3, 4]


@pytest.mark.parametrize("words", ["STOP", "quit", "Cancel", "opt out", "Stop please."])
def test_a_word_ends_all_texts_at_once_and_the_desk_sees_it(
    built: Built, texts: Path, words: str
) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    reply(texts, words)
    row = Client.objects.get(pk=client_id)
    assert row.contact_by == ContactBy.NONE
    assert [one["texts"] for one in row.phones] == [False]
    assert ContactNotice.objects.get().kind == "stopped"
    assert list((texts / "in").glob("*.txt")) == []
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert len(out(texts)) == 1
    found = ok(built.api(Role.OWNER).get("call-list", {"client_id": str(client_id)}))
    assert (
        found["results"][0]["text"]
        == "The client wants no more messages by text: ask at the next visit what suits them."
    )


def test_another_reply_is_shown_to_the_desk_and_ends_nothing(built: Built, texts: Path) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    for _ in range(2):
        reply(texts, "I will be late")
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.TEXT
    assert (ContactNotice.objects.get().kind, ContactNotice.objects.get().words) == (
        "replied",
        "I will be late",
    )


def test_a_household_that_shares_a_number_is_ended_together(built: Built, texts: Path) -> None:
    clients = [by_text(built), by_text(built)]
    booked_tomorrow(built, clients[0], hour=10)
    booked_tomorrow(built, clients[1], hour=13)
    tick(on_day(4))
    reply(texts, "stop")
    assert set(Client.objects.values_list("contact_by", flat=True)) == {"none"}


def test_a_number_given_for_texts_is_ended_before_one_went_there(built: Built, texts: Path) -> None:
    client_id, other = by_text(built), by_text(built, "+12155550134")
    reply(texts, "STOP")
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.NONE
    assert ContactNotice.objects.get().client_id == client_id
    assert Client.objects.get(pk=other).contact_by == ContactBy.TEXT


def test_a_number_of_somebody_else_is_ended(built: Built, texts: Path) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    reply(texts, "Wrong number, I am not Rosa")
    assert ContactNotice.objects.get().kind == "wrong_number"
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert (len(out(texts)), of_kind(KIND)[-1].status) == (1, "listed")


def test_a_reply_of_a_number_that_nobody_has_is_let_go(built: Built, texts: Path) -> None:
    reply(texts, "stop", number="+12155559999")
    assert not ContactNotice.objects.exists()


class WrongNumber(FileTexts):
    def send(self, number: str, text: str, message_id: str) -> None:
        raise AddressRefused("no such number")


def test_a_wrong_number_is_ended(built: Built, texts: Path, settings: Any) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    settings.TEXT_PROVIDER = f"{__name__}.WrongNumber"
    tick(on_day(4))
    assert of_kind(KIND)[0].status == "refused"
    assert ContactNotice.objects.get().kind == "wrong_number"
    settings.TEXT_PROVIDER = "clients.reminders.texting.FileTexts"
    booked_tomorrow(built, client_id, days=8)
    tick(on_day(7))
    assert (out(texts), of_kind(KIND)[-1].status) == ([], "listed")


def test_the_practice_may_send_none(built: Built, texts: Path) -> None:
    from practice.policy.models import PracticeSetting

    PracticeSetting.objects.filter(group="messages", key="texts_per_day").update(value=0)
    booked_tomorrow(built, by_text(built))
    tick(on_day(4))
    tick(on_day(5, 16))
    assert out(texts) == []


def test_a_preview_shows_each_text_in_the_clients_language(built: Built) -> None:
    client_id: UUID = reachable(built, language="es")
    with clock.at(clock.now()):
        found = ok(built.api(Role.FRONT_DESK).get(f"clients/{client_id}/reminder-wordings"))
    assert found["language"] == "es"
    by_name = {one["template"]: one for one in found["templates"]}
    assert by_name["visit_due"]["subject"] == "Es hora de su próxima visita"
    assert all(one["text_places"] <= 160 for one in found["templates"])
    assert found["voice"].startswith("Le habla Desk")
