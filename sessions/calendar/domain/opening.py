"""The days on which a facility is open. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import msgspec

LONGEST_CLOSURE = 366


class OpenDays(msgspec.Struct, frozen=True):
    """The practice's own open days, kept with its settings on re-checks (group ``rechecks``).

    ISO weekdays (Monday 1) for a facility without opening hours on record; ``closed_days``
    close every facility.
    """

    open_weekdays: tuple[int, ...]
    closed_days: tuple[date, ...]


@dataclass(frozen=True)
class OpeningDays:
    """On which days a facility is open: ISO weekdays (Monday 1), without the closed days."""

    weekdays: frozenset[int]
    closed: frozenset[date] = frozenset()

    def is_open(self, day: date) -> bool:
        """Whether the facility is open on a day."""
        return day.isoweekday() in self.weekdays and day not in self.closed

    def on_or_after(self, day: date) -> date:
        """The day itself or the next open one; the day itself where none is open within a year."""
        later = (day + timedelta(days=n) for n in range(LONGEST_CLOSURE))
        return next((one for one in later if self.is_open(one)), day)
