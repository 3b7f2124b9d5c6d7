"""What a reply to a text asks for. Pure."""

from __future__ import annotations

import re
from typing import Final

STOP_WORDS: Final = frozenset({"stop", "quit", "end", "revoke", "opt out", "cancel", "unsubscribe"})
"""Each of them alone ends all texts: 47 CFR 64.1200(a)(10)."""


def says_stop(words: str) -> bool:
    """Whether a reply is one of the words that end texts, however it is written."""
    plain = " ".join(re.sub(r"[\W_]+", " ", words.casefold()).split())
    return plain in STOP_WORDS or plain.replace(" ", "") in {"optout", "stopall"}
