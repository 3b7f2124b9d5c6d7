"""What a reply to a text asks for. Pure."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

STOP_WORDS: Final = frozenset(
    {"stop", "stopall", "quit", "end", "revoke", "optout", "cancel", "unsubscribe"}
    | {"remove", "nomore", "nomas", "parar", "pare", "alto", "basta", "baja", "cancelar"}
)
"""Each of the first line alone ends all texts: 47 CFR 64.1200(a)(10); so does any other
reasonable way to say it, in the languages of the texts."""
BESIDE: Final = frozenset(
    {"please", "pls", "thanks", "thank", "you", "me", "us", "all", "any", "more", "now", "these"}
    | {"this", "the", "it", "to", "from", "sending", "send", "text", "texts", "texting", "message"}
    | {"messages", "messaging", "reminder", "reminders", "immediately", "por", "favor", "gracias"}
    | {"mensaje", "mensajes", "texto", "textos", "recordatorios", "de", "los", "enviar", "ya"}
)
"""What may stand beside them and changes nothing."""
_TWO_IN_ONE: Final = (("opt out", "optout"), ("no more", "nomore"), ("no mas", "nomas"))
_WRONG_NUMBER: Final = re.compile(
    r"\b(wrong (number|person)|numero equivocado|equivocado de numero)\b"
)


def _plain(words: str) -> str:
    """Small letters without accents and signs, one space between two words."""
    letters = unicodedata.normalize("NFD", words.casefold())
    letters = "".join(one for one in letters if not unicodedata.combining(one))
    return " ".join(re.sub(r"[\W_]+", " ", letters).split())


def says_stop(words: str) -> bool:
    """Whether a reply says that texts end, and nothing else: a question and whatever says more
    is read by a person ("can you stop by at ten")."""
    plain = _plain(words)
    if plain in STOP_WORDS:
        return True
    for two, one in _TWO_IN_ONE:
        plain = re.sub(rf"\b{two}\b", one, plain)
    said = set(plain.split())
    return bool(said & STOP_WORDS) and said <= STOP_WORDS | BESIDE and "?" not in words


def says_wrong_number(words: str) -> bool:
    """Whether a reply says that the number is somebody else's."""
    return _WRONG_NUMBER.search(_plain(words)) is not None
