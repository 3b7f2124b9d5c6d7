"""The practice's settings of the session split: group ``hour``."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from practice.core.terms import Credential, SessionPart


class StretchingFloor(msgspec.Struct, frozen=True):
    """The least share of stretching before a week after the latest operation."""

    before_week: int
    share: float


class SessionSplitSettings(msgspec.Struct, frozen=True):
    """Minutes, shares of the time left (0 to 1), weeks, degrees, percent of reserve."""

    step_minutes: int
    measuring_minutes: int
    evaluation_minutes: int
    base_share: float
    deficit_share: float
    posture_share: float
    posture_share_most: float
    greatest_share: float
    floors: tuple[StretchingFloor, ...]
    floor_later: float
    sedentary_weeks: int
    load_flexion: int
    load_abduction: int
    delivers: Mapping[Credential, tuple[SessionPart, ...]]
    measured_first: tuple[Credential, ...]
    easy_cardio_weeks: int
    reserve_light: tuple[int, int]
    reserve_moderate: tuple[int, int]
    reserve_vigorous: tuple[int, int]
    exertion_light: tuple[int, int]
    exertion_moderate: tuple[int, int]
    exertion_vigorous: tuple[int, int]
    cardio_minutes_a_week: int
    strength_sessions_a_week: int
    strength_share: float
    strength_share_swelling: float
    strength_step_percent: float
    strength_step_percent_swelling: float
