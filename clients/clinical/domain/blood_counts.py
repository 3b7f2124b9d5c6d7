"""The blood counts to heed on a day, history by history: each narrows, none widens. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import inf

from clients.clinical.domain.conditions import holds_in_chemotherapy, holds_on
from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import BloodCount, HistoryContent
from clients.health.domain.terms import BloodCountKind, ConditionKind

NAMED = {
    BloodCountKind.NEUTROPHILS: ConditionKind.NEUTROPENIA,
    BloodCountKind.PLATELETS: ConditionKind.LOW_PLATELETS,
    BloodCountKind.HEMOGLOBIN: ConditionKind.ANEMIA,
}


@dataclass(frozen=True, slots=True)
class HeededCount:
    """A count as it counts on a day.

    ``unknown``: none is new enough. ``value`` and ``drawn_on`` are then those of the last
    that was low, since growing old makes nothing better; without one infinite and None.
    """

    kind: BloodCountKind
    value: float
    drawn_on: date | None
    unknown: bool

    def is_below(self, bound: float, *, if_unknown: bool = False) -> bool:
        """Whether it lies below a bound; ``if_unknown``: what is not known does."""
        return self.value < bound or (self.unknown and if_unknown)

    def is_at_most(self, bound: float, *, if_unknown: bool = False) -> bool:
        """The same, the bound itself included."""
        return self.value <= bound or (self.unknown and if_unknown)


def heeded_counts(
    client: ClientFacts,
    day: date,
    kind: BloodCountKind,
    *,
    good_for_days: int,
    days_after_chemotherapy: int,
    low: float,
) -> list[HeededCount]:
    """One for each history, reviewed or reported, that has something to say of this count.

    A count is good for some days from its drawing, the last day included. What is not known
    counts where the condition is named, in chemotherapy (and so many days after it), and
    where the last count was below ``low``.
    """
    found = []
    for history in known_histories(client):
        counts = [c for c in history.blood_counts if c.kind is kind and c.drawn_on <= day]
        last = _last(counts)
        if last is not None and (day - last.drawn_on).days <= good_for_days:
            found.append(HeededCount(kind, last.value, last.drawn_on, unknown=False))
        elif last is not None and last.value < low:
            found.append(HeededCount(kind, last.value, last.drawn_on, unknown=True))
        elif _expected_low(history, kind, day, days_after_chemotherapy):
            found.append(HeededCount(kind, inf, None, unknown=True))
    return found


def _last(counts: list[BloodCount]) -> BloodCount | None:
    """The last one drawn; of several on that day the lowest."""
    return min(counts, key=lambda one: (-one.drawn_on.toordinal(), one.value), default=None)


def _expected_low(history: HistoryContent, kind: BloodCountKind, day: date, after: int) -> bool:
    named = any(c.kind is NAMED[kind] and holds_on(c, day) for c in history.conditions)
    return named or any(holds_in_chemotherapy(one, day, after) for one in history.conditions)
