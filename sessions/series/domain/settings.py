"""The practice's settings of series (group ``series``)."""

from __future__ import annotations

import msgspec


class SeriesSettings(msgspec.Struct, frozen=True, kw_only=True):
    """How many sessions a series has at most, and how many days it spans at most."""

    most_occurrences: int
    most_days: int
