"""The practice's settings on re-checks (group ``rechecks``)."""

from __future__ import annotations

import msgspec


class RecheckSettings(msgspec.Struct, frozen=True):
    """Intervals in calendar months; leads in days."""

    intervals_months: tuple[int, ...]
    then_every_months: int
    early_days: int
    lead_days: int
    near_days: int
    call_hour: int
