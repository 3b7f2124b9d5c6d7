"""Cardio: zones by heart-rate reserve, or by exertion where heart rate misleads. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import msgspec

from practice.core.reasons import Reason, invalid
from sessions.session_split.domain.settings import SessionSplitSettings

TANAKA = "208 − 0.7·age (Tanaka 2001)"
RESERVE = "heart-rate reserve: rest + share·(greatest − rest)"
_BETA_BLOCKER = Reason(
    code="beta_blocker",
    text="A beta-blocker makes heart rate misleading: use perceived exertion.",
    source="common practice, no source",
)
_NO_RESTING_RATE = Reason(
    code="no_resting_rate",
    text="No resting heart rate on record: use perceived exertion.",
    source=RESERVE,
)


class Intensity(StrEnum):
    """How hard cardio is: the band of a zone."""

    LIGHT = "light"
    MODERATE = "moderate"
    VIGOROUS = "vigorous"


class CardioZone(msgspec.Struct, frozen=True, kw_only=True):
    """One band: beats a minute where heart rate may be used, perceived exertion (6–20) always."""

    intensity: Intensity
    beats: tuple[int, int] | None
    exertion: tuple[int, int]


class CardioZones(msgspec.Struct, frozen=True, kw_only=True):
    """The bands, the formulas by name, and why exertion is used instead of heart rate."""

    zones: tuple[CardioZone, ...]
    maximum_bpm: float | None
    formula: str
    reasons: tuple[Reason, ...] = ()


def maximum_heart_rate(age: int) -> float:
    """Greatest heart rate in beats a minute: 208 − 0.7·age (Tanaka 2001)."""
    return 208 - 0.7 * age


def reserve_target(rest: float, maximum_bpm: float, share: float) -> float:
    """Beats a minute at a share (0 to 1) of the heart-rate reserve."""
    return rest + share * (maximum_bpm - rest)


def _bands(
    settings: SessionSplitSettings,
) -> list[tuple[Intensity, tuple[int, int], tuple[int, int]]]:
    return [
        (Intensity.LIGHT, settings.reserve_light, settings.exertion_light),
        (Intensity.MODERATE, settings.reserve_moderate, settings.exertion_moderate),
        (Intensity.VIGOROUS, settings.reserve_vigorous, settings.exertion_vigorous),
    ]


def cardio_zones(
    age: int, rest: int | None, settings: SessionSplitSettings, *, beta_blocker: bool
) -> CardioZones:
    """The bands for a client. Under a beta-blocker, or with no resting rate, exertion only."""
    if not 0 <= age <= 120:
        raise invalid("age", "Age is 0 to 120 years.")
    if rest is not None and not 25 <= rest <= 130:
        raise invalid("resting_heart_rate", "A resting heart rate is 25 to 130 beats a minute.")
    if beta_blocker or rest is None:
        zones = tuple(
            CardioZone(intensity=name, beats=None, exertion=exertion)
            for name, _, exertion in _bands(settings)
        )
        why = _BETA_BLOCKER if beta_blocker else _NO_RESTING_RATE
        return CardioZones(zones=zones, maximum_bpm=None, formula="", reasons=(why,))
    maximum_bpm = maximum_heart_rate(age)
    zones = tuple(
        CardioZone(
            intensity=name,
            beats=(
                round(reserve_target(rest, maximum_bpm, low / 100)),
                round(reserve_target(rest, maximum_bpm, high / 100)),
            ),
            exertion=exertion,
        )
        for name, (low, high), exertion in _bands(settings)
    )
    return CardioZones(
        zones=zones, maximum_bpm=maximum_bpm, formula=f"{RESERVE}; greatest {TANAKA}"
    )


class WeekOfCardio(msgspec.Struct, frozen=True, kw_only=True):
    """Minutes of one week against the guideline."""

    minutes: int
    wanted: int
    reached: bool


def week_against_guideline(minutes: Sequence[int], settings: SessionSplitSettings) -> WeekOfCardio:
    """The cardio minutes of one week's sessions against the guideline (Campbell 2019)."""
    total = sum(minutes)
    wanted = settings.cardio_minutes_a_week
    return WeekOfCardio(minutes=total, wanted=wanted, reached=total >= wanted)
