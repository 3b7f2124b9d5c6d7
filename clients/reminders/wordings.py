"""What clients are written and told, in their language.

The words are looked up by Django's translation: ``locale/`` of this program, before it the
folder ``PRACTICE_LOCALE`` of the practice's own languages and wordings.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import lru_cache
from typing import Any, Final

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext, override
from django.utils.translation import gettext_noop as marked

from clients.reminders.domain.gsm import LONGEST, in_gsm, length, shortened
from clients.reminders.domain.neutral import clinical_words, neutral_address, sender_name
from clients.reminders.domain.rules import Wording
from practice.policy.selectors import PracticeAddress


@dataclass(frozen=True)
class Template:
    """The words of a reminder; ``text`` is what a text message says in one sentence."""

    subject: str
    body: str
    text: str


TEMPLATES: Final[Mapping[Wording, Template]] = {
    Wording.VISIT_DUE: Template(
        marked("Time for your next visit"),
        marked("it is time to find a day for your next visit with us."),
        marked("it is time to find a day for your next visit."),
    ),
    Wording.STILL_TO_COME: Template(
        marked("Your next visit"),
        marked("we have no day yet for your next visit and would like to see you."),
        marked("we have no day yet for your next visit."),
    ),
    Wording.VISIT_TOMORROW: Template(
        marked("Your visit on %(day)s"),
        marked("we expect you on %(day)s at %(time)s."),
        marked("we expect you on %(day)s at %(time)s."),
    ),
    Wording.FORM_ENDS: Template(
        marked("A form to sign again"),
        marked("one of your forms ends on %(day)s. We can sign a new one at your next visit."),
        marked("one of your forms ends on %(day)s. We sign a new one at your next visit."),
    ),
}
GREETING: Final = marked("Hello,")
CALL_US: Final = marked("Do you have a question, or does it not suit? Please call us.")
CALL_US_ON: Final = marked(
    "Do you have a question, or does it not suit? Please call us on %(phone)s."
)
NO_MORE: Final = marked("If you want no more messages like this one, open this address:")
TEXT: Final = marked("%(name)s: %(sentence)s Questions: %(phone)s. To end texts, reply STOP.")
TEXT_NO_PHONE: Final = marked("%(name)s: %(sentence)s To end texts, reply STOP.")
VOICE: Final = marked("This is %(caller)s from %(name)s. Please call us back on %(phone)s.")
VOICE_NO_PHONE: Final = marked("This is %(caller)s from %(name)s. Please call us back.")

_DOUBLE_STOP: Final = re.compile(r"(?<!\.)\.\.(?!\.)")


def in_their_language(words: str) -> str:
    """Our words as the active language has them. A translation that says something clinical, or
    has other places to fill than ours, is passed over: nobody reads it."""
    found = gettext(words)
    return words if unfit(words, found) else found


@lru_cache(maxsize=1024)
def unfit(words: str, translation: str) -> str:
    """Why a translation of our words may not go out; empty where it may."""
    places, filled = (re.findall(r"%(?:\(\w+\)s|.?)", one) for one in (words, translation))
    if clinical := clinical_words(translation):
        return f"it says {', '.join(sorted(set(clinical)))}"
    if sorted(places) != sorted(filled):
        return f"its places to fill are {', '.join(sorted(filled)) or 'none'}"
    return ""


def passed_over(language: str) -> list[str]:
    """The translations of a language that are not used, with the reason."""
    with override(language):
        found = [(words, gettext(words)) for words in every_wording()]
    return [f"{there!r}: {why}" for words, there in found if (why := unfit(words, there))]


def every_wording() -> list[str]:
    """Each sentence that a client may be written or told."""
    parts = [(one.subject, one.body, one.text) for one in TEMPLATES.values()]
    frame = (GREETING, CALL_US, CALL_US_ON, NO_MORE, TEXT, TEXT_NO_PHONE, VOICE, VOICE_NO_PHONE)
    return [*dict.fromkeys(words for some in parts for words in some), *frame]


def _filled(words: str, values: Mapping[str, Any]) -> str:
    """The words with their values; an hour that ends with a stop ends the sentence with it."""
    return _DOUBLE_STOP.sub(".", in_their_language(words) % values)


def _values(facts: Mapping[str, Any]) -> dict[str, str]:
    """Days and times as the language writes them; needs an active language."""
    shown = {}
    for name, value in facts.items():
        if isinstance(value, date):
            shown[name] = f"{date_format(value, 'l')}, {date_format(value, 'MONTH_DAY_FORMAT')}"
        elif isinstance(value, time):
            shown[name] = time_format(value, "TIME_FORMAT")
        else:
            shown[name] = str(value)
    return shown


def mail_of(
    wording: Wording,
    facts: Mapping[str, Any],
    practice: PracticeAddress,
    language: str,
    stop_at: str,
) -> tuple[str, str]:
    """Subject and body of a mail."""
    template = TEMPLATES[wording]
    with override(language):
        values = _values(facts)
        call = _filled(CALL_US_ON if practice.phone else CALL_US, {"phone": practice.phone})
        lines = [
            in_their_language(GREETING),
            "",
            _filled(template.body, values),
            call,
            "",
            sender_name(practice.name),
            *neutral_address(practice.postal_address),
            "",
            f"{in_their_language(NO_MORE)} {stop_at}",
            "",
        ]
        return _filled(template.subject, values), "\n".join(lines)


def text_of(
    wording: Wording, facts: Mapping[str, Any], practice: PracticeAddress, language: str
) -> str:
    """A text message, in one of 160 places: the practice's name gives way, then the sentence;
    how to end texts stays."""
    with override(language):
        sentence = _filled(TEMPLATES[wording].text, _values(facts))
        words = in_their_language(TEXT if practice.phone else TEXT_NO_PHONE)
    frame = {"name": "", "sentence": "", "phone": practice.phone}
    left = LONGEST - length(in_gsm(words % frame))
    sentence = shortened(sentence, left)
    name = shortened(sender_name(practice.name), left - length(sentence))
    return shortened(in_gsm(words % {**frame, "name": name, "sentence": sentence}), LONGEST)


def voice_of(practice: PracticeAddress, caller: str, language: str) -> str:
    """What is said to a machine: name, practice, call back, and nothing else."""
    values = {"caller": caller, "name": sender_name(practice.name), "phone": practice.phone}
    with override(language):
        return _filled(VOICE if practice.phone else VOICE_NO_PHONE, values)
