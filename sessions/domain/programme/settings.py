"""The practice's settings on re-checks and doses: groups ``rechecks`` and ``doses``."""

from __future__ import annotations

from datetime import date

import msgspec

from practice.domain.terms import Technique


class RecheckSettings(msgspec.Struct, frozen=True):
    """Intervals in calendar months; leads in days; ISO weekdays (Monday 1)."""

    intervals_months: tuple[int, ...]
    then_every_months: int
    early_days: int
    lead_days: int
    near_days: int
    call_hour: int
    open_weekdays: tuple[int, ...]
    closed_days: tuple[date, ...]


class UsualDose(msgspec.Struct, frozen=True):
    """Least and greatest of what is usual for a technique, and where that is from."""

    technique: Technique
    repetitions: tuple[int, int]
    hold_seconds: tuple[int, int]
    source: str
    contract_seconds: tuple[int, int] | None = None


class DoseSettings(msgspec.Struct, frozen=True):
    """Usual doses. ``neck_hold_seconds`` replaces the hold of every technique at the neck."""

    usual: tuple[UsualDose, ...]
    neck_hold_seconds: tuple[int, int]
    static_days_per_week: int
