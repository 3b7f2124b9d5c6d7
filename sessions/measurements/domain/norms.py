"""Published norms of range: each with its source and edition, picked by age and sex."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from practice.core.terms import Movement


class Norm(msgspec.Struct, frozen=True, kw_only=True):
    """One published figure in degrees. Ages in years, both included; no sex means both."""

    movement: Movement
    degrees: int
    edition: str
    source: str
    motion: str = "active"
    sex: str | None = None
    age_from: int | None = None
    age_to: int | None = None
    from_memory: bool = False

    def fits(self, age: int | None, sex: str | None) -> bool:
        """Whether it speaks of a person of that age and sex; unknown fits only general norms."""
        if self.sex is not None and self.sex != sex:
            return False
        if self.age_from is None and self.age_to is None:
            return True
        if age is None:
            return False
        return (self.age_from or 0) <= age <= (self.age_to if self.age_to is not None else 200)


def find_norm(
    norms: Iterable[Norm],
    movement: Movement,
    *,
    edition: str,
    age: int | None = None,
    sex: str | None = None,
) -> Norm | None:
    """The norm of one edition for a movement, the most specific that fits the person."""
    fitting = [
        norm
        for norm in norms
        if norm.movement is movement and norm.edition == edition and norm.fits(age, sex)
    ]
    return max(
        fitting,
        key=lambda norm: (
            norm.sex is not None,
            norm.age_from is not None or norm.age_to is not None,
        ),
        default=None,
    )


def editions(norms: Iterable[Norm]) -> list[str]:
    """The names of the editions at hand, sorted."""
    return sorted({norm.edition for norm in norms})
