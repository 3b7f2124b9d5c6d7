"""The practice's settings of series (group ``series``)."""

from __future__ import annotations

import msgspec


class SeriesSettings(msgspec.Struct, frozen=True, kw_only=True):
    """How many sessions a series has at most, and how many days it spans at most; for how many
    of the times that it leaves those who wait are looked for at once."""

    most_occurrences: int
    most_days: int
    most_freed_times: int
