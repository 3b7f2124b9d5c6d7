"""Names as they are searched and sorted, and when two of them may be one. Pure."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from typing import Final

import jellyfish
import msgspec

from practice.core.names import folded

MAX_LENGTH = 240
"""Longest key kept: some letters fold to many (U+FDFA to 18), and columns have an end."""
LONGEST_PART = 40
"""Letters of a part of a name that are compared: columns have an end."""
SHORTEST_SLIP = 4
"""Letters from which a part may hold a slip: in shorter ones one letter makes another name."""

_APOSTROPHES: Final = "'’‘ʼ`´"


class NameSettings(msgspec.Struct, frozen=True, kw_only=True):
    """From which likeness (Jaro–Winkler, 0 to 1) two parts that sound alike may be one name."""

    sounds_alike_from: float


def search_key(name: str) -> str:
    """Small letters without accents, single spaces: "  Íñez " gives "inez"."""
    return folded(name)[:MAX_LENGTH].strip()


def full_name(given_name: str, family_name: str) -> str:
    """Both names as people write them; one of them may be empty."""
    return f"{given_name} {family_name}".strip()


def name_parts(name: str) -> tuple[str, ...]:
    """The parts that a name is searched by, each once: "van der O'Neil-Ruiz" gives "van", "der",
    "oneil" and "ruiz"."""
    joined = search_key(name).translate({ord(sign): None for sign in _APOSTROPHES})
    spaced = "".join(" " if unicodedata.category(c)[0] in "PZC" else c for c in joined)
    return tuple(dict.fromkeys(part[:LONGEST_PART] for part in spaced.split()))


def parts_of_person(given_name: str, family_name: str) -> tuple[str, ...]:
    """Every part under which a person is found: also what stands behind an apostrophe, and each
    name of several words written as one ("vandermeer")."""
    found: list[str] = []
    for name in (given_name, family_name):
        opened = "".join(" " if sign in _APOSTROPHES else sign for sign in name)
        parts = name_parts(name)
        found += [*parts, *name_parts(opened), "".join(parts)[:LONGEST_PART]]
    return tuple(dict.fromkeys(filter(None, found)))


def sound_codes(part: str) -> frozenset[str]:
    """How a part sounds: Soundex (as the US National Archives code the census) and Metaphone.

    Both know Latin letters only; another script has no code.
    """
    if not (part.isascii() and any(sign.isalpha() for sign in part)):
        return frozenset()
    codes = (f"s{jellyfish.soundex(part)}", f"m{jellyfish.metaphone(part)}")
    return frozenset(code for code in codes if len(code) > 1)


def slip_codes(part: str) -> frozenset[str]:
    """The part, and the part with each letter left out in turn.

    Two parts that one letter more, less or other, or two letters changed about, tell apart
    share one of these.
    """
    if len(part) < SHORTEST_SLIP:
        return frozenset()
    return frozenset({part, *(part[:n] + part[n + 1 :] for n in range(len(part)))})


def parts_alike(one: str, other: str, settings: NameSettings) -> bool:
    """Whether two parts may be one name: equal, one typing slip apart, or alike in sound."""
    if one == other:
        return True
    if (
        min(len(one), len(other)) >= SHORTEST_SLIP
        and jellyfish.damerau_levenshtein_distance(one, other) <= 1
    ):
        return True
    if not sound_codes(one) & sound_codes(other):
        return False
    return jellyfish.jaro_winkler_similarity(one, other) >= settings.sounds_alike_from


def names_alike(one: Iterable[str], other: Iterable[str], settings: NameSettings) -> bool:
    """Whether each part of the shorter of two names is alike to one of the longer, in any
    order: a middle name may be left out, and given and family name changed about."""
    short, long = sorted((tuple(one), tuple(other)), key=len)
    return bool(short) and all(any(parts_alike(a, b, settings) for b in long) for a in short)


def search_codes(parts: Iterable[str]) -> Iterator[tuple[str, str]]:
    """What each part is found by: ``(code, part)``."""
    for part in parts:
        yield f"{NAME}{part}", part
        for code in sorted(approximate_codes(part)):
            yield code, part


def approximate_codes(part: str) -> frozenset[str]:
    """The codes by which parts that may be this one are found."""
    sounds = {f"{SOUND}{code}" for code in sound_codes(part)}
    return frozenset({*sounds, *(f"{SLIP}{code}" for code in slip_codes(part))})


NAME: Final = "n:"
SOUND: Final = "s:"
SLIP: Final = "x:"
PHONE: Final = "p:"
"""What the codes of the rows for searching begin with."""


def phone_code(number: str) -> str:
    """The digits of a number from the last to the first, so that its end can be looked up."""
    return PHONE + "".join(reversed([sign for sign in number if sign in "0123456789"]))
