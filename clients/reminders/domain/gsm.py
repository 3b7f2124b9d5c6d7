"""Texts in the alphabet of mobile networks (GSM 7 bit, 3GPP TS 23.038, 6.2.1): 160 in one. Pure.

One character beyond it makes the network send the whole in 70 at a time.
"""

from __future__ import annotations

import unicodedata
from typing import Final

LONGEST: Final = 160
BASIC: Final = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
EXTENDED: Final = frozenset("^{}\\[~]|€\f")
"""Each of these takes two places."""
_LIKE: Final = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "…": "."})


def in_gsm(text: str) -> str:
    """The text with what the alphabet lacks made plain: á becomes a, ñ and é stay. What has no
    plain letter is left out."""
    return "".join(_plain(one) for one in unicodedata.normalize("NFC", text.translate(_LIKE)))


def _plain(character: str) -> str:
    if character in BASIC or character in EXTENDED:
        return character
    if character.isspace():
        return " "
    return "".join(one for one in unicodedata.normalize("NFKD", character) if one in BASIC)


def length(text: str) -> int:
    """How many of the 160 places a text takes."""
    return sum(2 if one in EXTENDED else 1 for one in text)


def shortened(text: str, places: int) -> str:
    """As much of a text, in the alphabet, as goes into some places."""
    found = in_gsm(text)
    while found and length(found) > places:
        found = found[:-1]
    return found.rstrip()
