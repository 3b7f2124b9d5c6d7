"""Whether two written names are one person's, as a reader would say. Pure."""

from __future__ import annotations

import unicodedata

_WITHIN_A_WORD = "'\u2019\u02bc"


def folded(name: str) -> str:
    """Small letters without accents, single spaces: "  Íñez " gives "inez"."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    return " ".join(bare.casefold().split())


def same_name(one: str, other: str) -> bool:
    """Whether two names differ by case, accents, spaces, hyphens, commas or order at most.

    "Okafor, Amára" is "Amara Okafor", "DeLuca" is "De Luca"; an empty name is nobody's.
    """
    words, others = _words(one), _words(other)
    if not words:
        return False
    return sorted(words) == sorted(others) or "".join(words) == "".join(others)


def _words(name: str) -> list[str]:
    plain = "".join(c for c in folded(name) if c not in _WITHIN_A_WORD)
    return "".join(c if c.isalnum() else " " for c in plain).split()
