"""Strength: estimated one-repetition maximum and a suggested load. A help, never an order. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from practice.core.reasons import invalid
from sessions.session_split.domain.settings import SessionSplitSettings

MAX_REPETITIONS = 10
"""Above this the formulas do not hold."""


class StrengthSet(msgspec.Struct, frozen=True, kw_only=True):
    """One set: load in kg, repetitions done."""

    load: float
    repetitions: int


class LoadSuggestion(msgspec.Struct, frozen=True, kw_only=True):
    """A suggested load in kg, the two estimates of the maximum, and what it rests on."""

    load: float
    epley: float
    brzycki: float
    why: str


def _check(load: float, repetitions: int) -> None:
    if not 0 < load <= 500:
        raise invalid("load", "A load is more than 0 and at most 500 kg.")
    if not 1 <= repetitions <= MAX_REPETITIONS:
        raise invalid(
            "repetitions",
            f"The maximum is estimated from 1 to {MAX_REPETITIONS} repetitions only.",
        )


def epley(load: float, repetitions: int) -> float:
    """One-repetition maximum in kg: w·(1 + r/30)."""
    _check(load, repetitions)
    return load * (1 + repetitions / 30)


def brzycki(load: float, repetitions: int) -> float:
    """One-repetition maximum in kg: 36·w/(37 − r)."""
    _check(load, repetitions)
    return 36 * load / (37 - repetitions)


def suggest_load(
    sets: Sequence[StrengthSet], settings: SessionSplitSettings, *, swelling: bool
) -> LoadSuggestion | None:
    """A load for two sets of 8 to 15 (Campbell 2019), from sets of at most 10 repetitions.

    The lower of the two estimates counts. With swelling of the limb lower and slower;
    never more than one step above the heaviest load of the sets given, which are the
    recent ones. None where no set can be used.
    """
    usable = [one for one in sets if 1 <= one.repetitions <= MAX_REPETITIONS and one.load > 0]
    if not usable:
        return None
    best = max(
        usable,
        key=lambda one: min(epley(one.load, one.repetitions), brzycki(one.load, one.repetitions)),
    )
    by_epley = epley(best.load, best.repetitions)
    by_brzycki = brzycki(best.load, best.repetitions)
    share = settings.strength_share_swelling if swelling else settings.strength_share
    step = settings.strength_step_percent_swelling if swelling else settings.strength_step_percent
    most = max(one.load for one in usable) * (1 + step / 100)
    load = min(share * min(by_epley, by_brzycki), most)
    why = f"{share:.0%} of the lower estimate, at most {step:g} % above the heaviest recent set"
    if swelling:
        why += "; start low, progress slowly, supervised, for a limb with swelling"
    return LoadSuggestion(
        load=round(load, 1), epley=round(by_epley, 2), brzycki=round(by_brzycki, 2), why=why
    )
