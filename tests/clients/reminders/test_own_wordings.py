"""A practice adds its own wordings and languages; what does not fit goes to nobody."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from django.core import mail

from clients.reminders.domain.rules import Wording
from clients.reminders.wordings import TEMPLATES, every_wording, mail_of, passed_over, text_of
from practice.core.terms import Role
from tests.builders import Built, ok
from tests.clients.reminders.given import booked_tomorrow, on_day, reachable, tick
from tests.clients.reminders.test_words import FACTS, STOP_AT, marked_words, practice

TOMORROW = TEMPLATES[Wording.VISIT_TOMORROW]
FRENCH = {
    "Hello,": "Bonjour,",
    TOMORROW.subject: "Votre rendez-vous : %(day)s",
    TOMORROW.body: "nous vous attendons %(day)s à %(time)s.",
}


def translated(folder: Path, language: str, words: Mapping[str, str]) -> None:
    """A compiled catalogue (GNU gettext .mo, little-endian) in the practice's folder."""
    pairs = [("", "Content-Type: text/plain; charset=UTF-8\n"), *sorted(words.items())]
    ours = [one.encode() for one, _ in pairs]
    theirs = [one.encode() for _, one in pairs]
    at, tables, data = 28 + 16 * len(pairs), b"", b""
    for texts in (ours, theirs):
        for one in texts:
            tables += struct.pack("<II", len(one), at + len(data))
            data += one + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 0)
    file = folder / language / "LC_MESSAGES" / "django.mo"
    file.parent.mkdir(parents=True)
    file.write_bytes(head + tables + data)


@pytest.fixture
def own(tmp_path: Path, settings: Any) -> Path:
    """The practice's folder, before the program's."""
    settings.LOCALE_PATHS = [tmp_path, *settings.LOCALE_PATHS]
    return tmp_path


def test_a_language_of_the_practice_s_own_is_previewed_and_sent(built: Built, own: Path) -> None:
    translated(own, "fr", FRENCH)
    client_id = reachable(built, language="fr-CA")
    shown = ok(built.api(Role.OWNER).get(f"clients/{client_id}/reminder-wordings"))
    found = {one["template"]: one for one in shown["templates"]}
    assert found["visit_tomorrow"]["subject"].startswith("Votre rendez-vous : ")
    assert found["visit_tomorrow"]["mail"].startswith("Bonjour,")
    assert found["visit_due"]["subject"] == "Time for your next visit", "not translated yet"
    assert (shown["language"], shown["passed_over"]) == ("fr-CA", [])
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    assert mail.outbox[-1].subject.startswith("Votre rendez-vous : ")


def test_another_language_is_previewed_before_any_client_speaks_it(built: Built) -> None:
    client_id = reachable(built)
    owner, path = built.api(Role.OWNER), f"clients/{client_id}/reminder-wordings"
    shown = ok(owner.get(path, {"language": "es"}))
    assert (shown["language"], shown["templates"][0]["subject"]) == (
        "es",
        "Es hora de su próxima visita",
    )
    assert owner.get(path, {"language": "no such"}).status_code == 400


def test_own_words_come_before_ours_in_a_language_that_we_have(own: Path) -> None:
    translated(own, "es", {TOMORROW.subject: "Le esperamos el %(day)s"})
    subject, body = mail_of(Wording.VISIT_TOMORROW, FACTS, practice(), "es", STOP_AT)
    assert subject == "Le esperamos el miércoles, 30 de septiembre"
    assert "a las 16:45" in body, "ours for the rest"


def test_own_words_keep_their_three_stops(own: Path) -> None:
    translated(own, "es", {TOMORROW.subject: "Hasta pronto... %(day)s"})
    subject, _ = mail_of(Wording.VISIT_TOMORROW, FACTS, practice(), "es", STOP_AT)
    assert subject.startswith("Hasta pronto... ")


@pytest.mark.parametrize(
    ("wording", "why"),
    [
        ("Your stretching on %(day)s", "it says stretch"),
        ("Su tratamiento: %(day)s", "it says tratamiento"),
        ("Your visit", "its places to fill are none"),
        ("Your visit on %(day)s at %(hour)s", "its places to fill are %(day)s, %(hour)s"),
        ("100 % sure: %(day)s", "its places to fill are % , %(day)s"),
        ("Your visit on %(day)d", "its places to fill are %("),
    ],
)
def test_words_that_do_not_fit_are_passed_over_and_said(own: Path, wording: str, why: str) -> None:
    translated(own, "de", {TOMORROW.subject: wording})
    subject, _ = mail_of(Wording.VISIT_TOMORROW, FACTS, practice(), "de", STOP_AT)
    assert subject.startswith("Your visit on Mi"), "ours, with the day as the language has it"
    (said,) = passed_over("de")
    assert said == f"{wording!r}: {why}"


def test_a_text_of_own_words_is_one_message_all_the_same(own: Path) -> None:
    translated(own, "fr", {TOMORROW.text: "long " * 60 + "%(day)s %(time)s"})
    text = text_of(Wording.VISIT_TOMORROW, FACTS, practice(), "fr")
    assert len(text) <= 160
    assert text.startswith(": long long")
    assert text.endswith("Questions: +12155550100. To end texts, reply STOP.")


def test_every_sentence_to_clients_is_looked_at() -> None:
    of_the_page = {"No more messages", "End these messages"}
    of_the_page.add("Noted. You will get no more of these messages.")
    assert set(every_wording()) == marked_words() - of_the_page
    assert passed_over("es") == []
