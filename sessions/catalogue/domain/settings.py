"""The practice's settings on doses (group ``doses``)."""

from __future__ import annotations

import msgspec

from practice.core.terms import Technique


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
