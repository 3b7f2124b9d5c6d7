"""How well a name that is searched fits one on record. Pure."""

from __future__ import annotations

from enum import StrEnum


class NameMatch(StrEnum):
    """Best first: the whole name, its beginning, parts of it from their beginning, or parts that
    sound alike or are a typing slip away."""

    EXACT = "exact"
    BEGINS = "begins"
    PART = "part"
    SOUND = "sound"

    @property
    def rank(self) -> int:
        """Its place, 0 for the best."""
        return RANKED.index(self)


RANKED = tuple(NameMatch)
