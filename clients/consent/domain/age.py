"""The age of medical consent that counts (ruling 56). Pure."""

from __future__ import annotations

from typing import Final, NamedTuple

PRACTICE_POLICY: Final = (
    "age of medical consent: practice policy until a row of the jurisdiction is on record"
)


class AgeOfConsent(NamedTuple):
    """From which age in years people consent alone, and where that stands."""

    years: int
    source: str


def counted_age(years: int, otherwise: int, *, verified: bool) -> int:
    """The age in years of a row of law; one that the practice has not verified lowers nothing.

    ``otherwise`` is the practice's own, which counts where there is no row.
    """
    return years if verified else max(years, otherwise)
