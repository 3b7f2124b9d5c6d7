"""The words that the catalogue shares with measurements and prescriptions: postures and doses."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from practice.core.terms import Technique


class PostureKind(StrEnum):
    """What is seen in how the client stands and moves."""

    ROUNDED_SHOULDERS = "rounded_shoulders"
    FORWARD_HEAD = "forward_head"
    FORWARD_BEND_AT_HIPS = "forward_bend_at_hips"
    DEEPENED_LUMBAR_CURVE = "deepened_lumbar_curve"
    HITCHING = "hitching"
    DROOPING_SHOULDER = "drooping_shoulder"
    OTHER = "other"


class Dose(msgspec.Struct, frozen=True, kw_only=True):
    """How much of one technique: repetitions, seconds held, seconds pushed against the hand.

    ``contract_seconds`` is for contract–relax only. ``sets`` counts rounds of the
    whole; ``days_per_week`` is how often.
    """

    technique: Technique
    repetitions: int
    hold_seconds: int
    contract_seconds: int | None = None
    sets: int = 1
    days_per_week: int | None = None
