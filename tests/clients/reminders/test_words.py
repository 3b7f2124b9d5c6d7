"""What clients are written: nothing clinical, in their language, within one text message."""

from __future__ import annotations

import re
from datetime import date, time
from pathlib import Path

import pytest
from django.utils.translation import gettext, override

from clients.reminders import wordings
from clients.reminders.domain.gsm import BASIC, EXTENDED, LONGEST, in_gsm, length, shortened
from clients.reminders.domain.neutral import clinical_words, sender_name
from clients.reminders.domain.replies import says_stop, says_wrong_number
from clients.reminders.domain.rules import Wording
from clients.reminders.wordings import TEMPLATES, mail_of, text_of, voice_of
from practice.policy.selectors import PracticeAddress

FACTS = {"day": date(2026, 9, 30), "time": time(16, 45)}
LANGUAGES = ("en", "es")
STOP_AT = "https://practice.example/api/v1/no-more-messages/abc"


def practice(name: str = "Hillside", phone: str = "+12155550100") -> PracticeAddress:
    return PracticeAddress(name, phone, "12 River Street\nSpringfield")


def every_text(of: PracticeAddress) -> list[str]:
    found: list[str] = []
    for language in LANGUAGES:
        for wording in Wording:
            found += mail_of(wording, FACTS, of, language, STOP_AT)
            found.append(text_of(wording, FACTS, of, language))
        found.append(voice_of(of, "Ana Rivera", language))
    return found


@pytest.mark.parametrize("name", ["Hillside", "Riverside Cancer Recovery", "Clínica del dolor"])
@pytest.mark.parametrize("phone", ["+12155550100", ""])
def test_no_text_bears_a_clinical_word(name: str, phone: str) -> None:
    for text in every_text(practice(name, phone)):
        assert clinical_words(text) == [], text
        assert "%(" not in text


def test_the_list_of_words_finds_them_in_any_form() -> None:
    for text in ("Your re-check", "Post-surgical stretching", "Lymphedema", "cirugía", "Dolores?"):
        assert clinical_words(text), text
    assert clinical_words("It is time to find a day for your next visit") == []


@pytest.mark.parametrize(
    ("name", "shown"), [("Hillside", "Hillside"), ("Cancer Care", "Your practice")]
)
def test_the_sender_never_says_what_the_client_has(name: str, shown: str) -> None:
    assert sender_name(name) == shown


def test_each_mail_has_the_postal_address_and_the_way_to_end_it() -> None:
    for language in LANGUAGES:
        for wording in Wording:
            _, body = mail_of(wording, FACTS, practice(), language, STOP_AT)
            assert "12 River Street\nSpringfield" in body
            assert STOP_AT in body
            assert "+12155550100" in body


def test_days_and_times_are_written_as_the_language_does() -> None:
    english, _ = mail_of(Wording.VISIT_TOMORROW, FACTS, practice(), "en", STOP_AT)
    spanish, body = mail_of(Wording.VISIT_TOMORROW, FACTS, practice(), "es", STOP_AT)
    assert english == "Your visit on Wednesday, September 30"
    assert spanish == "Su visita: miércoles, 30 de septiembre"
    assert "a las 16:45" in body


def test_an_hour_that_ends_with_a_stop_ends_the_sentence() -> None:
    facts = {"day": date(2026, 9, 30), "time": time(10, 30)}
    for words in (
        mail_of(Wording.VISIT_TOMORROW, facts, practice(), "en", STOP_AT)[1],
        text_of(Wording.VISIT_TOMORROW, facts, practice(), "en"),
    ):
        assert "at 10:30 a.m." in words
        assert ".." not in words


@pytest.mark.parametrize("language", ["es-US", "es-mx", "es"])
def test_a_regional_language_reads_its_own(language: str) -> None:
    assert mail_of(Wording.VISIT_DUE, FACTS, practice(), language, STOP_AT)[0] == (
        "Es hora de su próxima visita"
    )


@pytest.mark.parametrize("language", ["de", "xx", "tlh", ""])
def test_a_language_that_nobody_translated_reads_english(language: str) -> None:
    body = mail_of(Wording.VISIT_DUE, {}, practice(), language, STOP_AT)[1]
    assert "find a day for your next visit" in body


def marked_words() -> set[str]:
    """Every text that is marked for translation in the feature."""
    folder = Path(wordings.__file__).parent
    text = "".join(one.read_text(encoding="utf-8") for one in folder.glob("*.py"))
    found = re.findall(r'(?:marked|_said|gettext)\(\s*"([^"]+)"', text)
    assert len(found) > 15
    return set(found)


def test_spanish_has_every_word_with_the_same_places_to_fill() -> None:
    for words in marked_words():
        with override("es"):
            there = gettext(words)
        assert there != words, words
        assert set(re.findall(r"%\(\w+\)s", there)) == set(re.findall(r"%\(\w+\)s", words))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("wording", list(Wording))
@pytest.mark.parametrize("name", ["H", "Hillside Practice of Movement and More " * 4, "Ñandú ó €"])
def test_a_text_is_one_message_of_the_alphabet(language: str, wording: Wording, name: str) -> None:
    text = text_of(wording, FACTS, practice(name), language)
    assert set(text) <= BASIC | EXTENDED
    assert length(text) <= LONGEST
    assert "STOP" in text
    assert "CANCEL" not in text.upper()


def test_accents_that_the_alphabet_lacks_are_written_plain() -> None:
    # 3GPP TS 23.038 6.2.1: é, ñ, ü, ¿ and ¡ are in it; á, í, ó and ú are not.
    assert in_gsm("¿Mañana él está aquí, según ella, ¡qué pingüino!?") == (
        "¿Mañana él esta aqui, segun ella, ¡qué pingüino!?"
    )
    assert in_gsm("“Hi” – 日本…") == '"Hi" - .'


@pytest.mark.parametrize(
    ("text", "places"), [("", 0), ("abc", 3), ("a€", 3), ("[]", 4), ("é\n", 2)]
)
def test_some_characters_take_two_places(text: str, places: int) -> None:
    assert length(text) == places


@pytest.mark.parametrize(("places", "left"), [(4, "ab€"), (3, "ab"), (0, "")])
def test_a_name_gives_way_to_what_is_said(places: int, left: str) -> None:
    assert shortened("ab€", places) == left


@pytest.mark.parametrize(
    "words",
    # 47 CFR 64.1200(a)(10): stop, quit, end, revoke, opt out, cancel, unsubscribe.
    ["STOP", "stop.", " Quit ", "end", "Revoke!", "opt out", "Opt-Out", "CANCEL", "unsubscribe"],
)
def test_each_of_the_words_ends_texts(words: str) -> None:
    assert says_stop(words)


@pytest.mark.parametrize(
    "words",
    # 47 CFR 64.1200(a)(10): nor does another reasonable way to say it go unheard.
    [
        "Stop please.",
        "please STOP texting me!",
        "no more texts",
        "stop the messages",
        "STOP?",
        "STOP STOP",
        "No más mensajes por favor",
        "¡Basta!",
        "remove me",
    ],
)
def test_another_reasonable_way_to_say_it_ends_texts_too(words: str) -> None:
    assert says_stop(words)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "yes",
        "Can you stop by at ten?",
        "thank you",
        "the end?",
        "please cancel my visit",
        "no more pain",
        "more please",
        "Wrong number",
    ],
)
def test_another_reply_is_for_the_desk(words: str) -> None:
    assert not says_stop(words)


@pytest.mark.parametrize(
    "words", ["Wrong number, I am not Greta", "WRONG PERSON", "Número equivocado"]
)
def test_a_reply_says_that_the_number_is_somebody_elses(words: str) -> None:
    assert says_wrong_number(words)


@pytest.mark.parametrize("words", ["", "Which number do I call?", "I was wrong", "stop"])
def test_a_number_is_not_wrong_for_less(words: str) -> None:
    assert not says_wrong_number(words)


def test_voice_says_name_practice_and_call_back_and_nothing_else() -> None:
    assert voice_of(practice(), "Ana Rivera", "en") == (
        "This is Ana Rivera from Hillside. Please call us back on +12155550100."
    )
    assert len(TEMPLATES) == len(Wording)
