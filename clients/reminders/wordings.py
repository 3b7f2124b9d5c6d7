"""What clients are written and told, in their language.

The words are looked up by Django's translation: ``locale/`` of this program, before it the
folder ``PRACTICE_LOCALE`` of the practice's own languages and wordings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Final

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext, override
from django.utils.translation import gettext_noop as marked

from clients.reminders.domain.gsm import LONGEST, in_gsm, length, shortened
from clients.reminders.domain.neutral import neutral_address, sender_name
from clients.reminders.domain.rules import Wording
from practice.policy.models import Practice


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


def _filled(words: str, values: Mapping[str, Any]) -> str:
    """The words with their values; an hour that ends with a stop ends the sentence with it."""
    return (gettext(words) % values).replace("..", ".")


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
    wording: Wording, facts: Mapping[str, Any], practice: Practice, language: str, stop_at: str
) -> tuple[str, str]:
    """Subject and body of a mail."""
    template = TEMPLATES[wording]
    with override(language):
        values = _values(facts)
        call = _filled(CALL_US_ON if practice.phone else CALL_US, {"phone": practice.phone})
        lines = [
            gettext(GREETING),
            "",
            _filled(template.body, values),
            call,
            "",
            sender_name(practice.name),
            *neutral_address(practice.postal_address),
            "",
            f"{gettext(NO_MORE)} {stop_at}",
            "",
        ]
        return _filled(template.subject, values), "\n".join(lines)


def text_of(wording: Wording, facts: Mapping[str, Any], practice: Practice, language: str) -> str:
    """A text message, in one of 160 places: the practice's name gives way."""
    with override(language):
        sentence = _filled(TEMPLATES[wording].text, _values(facts))
        words = gettext(TEXT if practice.phone else TEXT_NO_PHONE)
    values = {"sentence": sentence, "phone": practice.phone}
    without = length(in_gsm(words % {**values, "name": ""}))
    name = shortened(sender_name(practice.name), LONGEST - without)
    return shortened(in_gsm(words % {**values, "name": name}), LONGEST)


def voice_of(practice: Practice, caller: str, language: str) -> str:
    """What is said to a machine: name, practice, call back, and nothing else."""
    values = {"caller": caller, "name": sender_name(practice.name), "phone": practice.phone}
    with override(language):
        return _filled(VOICE if practice.phone else VOICE_NO_PHONE, values)
