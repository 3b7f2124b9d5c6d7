"""What circumferences say: a labelled comparison, whether to refer or measure again. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import msgspec

from practice.core.reasons import Audience, Reason
from practice.core.terms import Side
from sessions.measurements.domain.events import CircumferencesMeasured
from sessions.measurements.domain.swelling_settings import SwellingSettings
from sessions.measurements.domain.volume import relative_volume_change, volume_ml


class SwellingBasis(StrEnum):
    """What the volumes were compared with."""

    RELATIVE_VOLUME_CHANGE = "relative_volume_change"
    BETWEEN_ARMS = "between_arms"
    OWN_BASELINE = "own_baseline"
    NOTHING = "nothing_to_compare"


class SwellingAdvice(StrEnum):
    """What to do about it."""

    NONE = "none"
    AGAIN = "measure_again"
    REFER = "refer"


class SwellingComparison(msgspec.Struct, frozen=True, kw_only=True):
    """One side's comparison: percent, mL and the greatest cm at one point; positive is larger."""

    side: Side
    basis: SwellingBasis
    percent: float | None = None
    millilitres: float | None = None
    centimetres: float | None = None


class SwellingEvaluation(msgspec.Struct, frozen=True, kw_only=True):
    """Volumes in mL of both arms, the comparisons made, and the advice with its reasons.

    ``refer_sides``: the arms that it is about where the advice is to refer; heaviness
    without a side is of every arm compared.
    """

    left_ml: float
    right_ml: float
    comparisons: tuple[SwellingComparison, ...]
    advice: SwellingAdvice
    remeasure_in_weeks: int | None
    reasons: tuple[Reason, ...]
    refer_sides: tuple[Side, ...] = ()


OTHER_SIDE = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


def circumferences_of(measured: CircumferencesMeasured, side: Side) -> tuple[float, ...]:
    """The circumferences in cm of one arm."""
    return measured.left if side is Side.LEFT else measured.right


def _volume(measured: CircumferencesMeasured, side: Side) -> float:
    return volume_ml(circumferences_of(measured, side), measured.interval_cm)


def _alike(
    now: CircumferencesMeasured, baseline: CircumferencesMeasured | None
) -> CircumferencesMeasured | None:
    """The baseline, if it was taken at the same points."""
    if baseline is None or baseline.interval_cm != now.interval_cm:
        return None
    return baseline if len(baseline.left) == len(now.left) else None


def _greatest(differences: Sequence[float]) -> float:
    return round(max(differences), 6)


def _percent(share: float) -> float:
    """Rounded where floating point would miss a threshold that is met exactly."""
    return round(100 * share, 6)


def _own_baseline(
    now: CircumferencesMeasured, before: CircumferencesMeasured, side: Side
) -> SwellingComparison:
    then, today = _volume(before, side), _volume(now, side)
    pairs = zip(circumferences_of(now, side), circumferences_of(before, side), strict=True)
    return SwellingComparison(
        side=side,
        basis=SwellingBasis.OWN_BASELINE,
        percent=_percent(today / then - 1),
        millilitres=today - then,
        centimetres=_greatest([b - a for b, a in pairs]),
    )


def _relative(
    now: CircumferencesMeasured, before: CircumferencesMeasured, side: Side
) -> SwellingComparison:
    other = OTHER_SIDE[side]
    affected_1, unaffected_1 = _volume(before, side), _volume(before, other)
    affected_2, unaffected_2 = _volume(now, side), _volume(now, other)
    change = relative_volume_change(affected_1, unaffected_1, affected_2, unaffected_2)
    points = zip(
        circumferences_of(now, side),
        circumferences_of(now, other),
        circumferences_of(before, side),
        circumferences_of(before, other),
        strict=True,
    )
    return SwellingComparison(
        side=side,
        basis=SwellingBasis.RELATIVE_VOLUME_CHANGE,
        percent=_percent(change),
        millilitres=(affected_2 - unaffected_2) - (affected_1 - unaffected_1),
        centimetres=_greatest([(a2 - u2) - (a1 - u1) for a2, u2, a1, u1 in points]),
    )


def _between(now: CircumferencesMeasured, side: Side) -> SwellingComparison:
    other = OTHER_SIDE[side]
    pairs = zip(circumferences_of(now, side), circumferences_of(now, other), strict=True)
    return SwellingComparison(
        side=side,
        basis=SwellingBasis.BETWEEN_ARMS,
        percent=_percent(_volume(now, side) / _volume(now, other) - 1),
        millilitres=_volume(now, side) - _volume(now, other),
        centimetres=_greatest([a - u for a, u in pairs]),
    )


def compare_arms(
    now: CircumferencesMeasured, baseline: CircumferencesMeasured | None, at_risk: frozenset[Side]
) -> tuple[SwellingComparison, ...]:
    """The comparisons that may be made.

    One side at risk: relative volume change where a baseline taken at the same
    points exists, else between the arms. Both at risk: each arm against its own
    baseline only. No side known to be at risk: the larger arm against the smaller.
    """
    before = _alike(now, baseline)
    sides = sorted(at_risk & {Side.LEFT, Side.RIGHT})
    if len(sides) == 2:
        if before is None:
            return tuple(
                SwellingComparison(side=side, basis=SwellingBasis.NOTHING) for side in sides
            )
        return tuple(_own_baseline(now, before, side) for side in sides)
    if len(sides) == 1:
        side = sides[0]
        return ((_relative(now, before, side) if before else _between(now, side)),)
    left_larger = _volume(now, Side.LEFT) >= _volume(now, Side.RIGHT)
    return (_between(now, Side.LEFT if left_larger else Side.RIGHT),)


def growing_sides(
    now: CircumferencesMeasured,
    earlier: CircumferencesMeasured | None,
    at_risk: frozenset[Side],
    settings: SwellingSettings,
) -> tuple[Side, ...]:
    """The arms that grew since the set before, taken at the same points, by as much as is
    watched (``watch_percent``); after new heaviness every arm at risk, without one both."""
    if now.new_heaviness:
        return tuple(sorted(at_risk or {Side.LEFT, Side.RIGHT}))
    before = _alike(now, earlier)
    if before is None:
        return ()
    grown = {side: _own_baseline(now, before, side).percent or 0 for side in OTHER_SIDE}
    return tuple(side for side, percent in grown.items() if percent >= settings.watch_percent)


def _reason(code: str, text: str, source: str) -> Reason:
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)


def refer_reasons(found: SwellingComparison, settings: SwellingSettings) -> list[Reason]:
    """Every threshold (percent, mL, cm at one point) that one comparison reaches."""
    how = f"{found.side.value} arm, {found.basis.value.replace('_', ' ')}"
    reasons: list[Reason] = []
    if found.percent is not None and found.percent >= settings.refer_percent:
        reasons.append(
            _reason(
                "swelling_percent",
                f"{how}: {found.percent:.1f} % larger, from {settings.refer_percent:g} % on refer.",
                "practice setting swelling.refer_percent; Armer & Stewart 2005; Stanton 2000",
            )
        )
    if found.millilitres is not None and found.millilitres >= settings.refer_ml:
        reasons.append(
            _reason(
                "swelling_volume",
                f"{how}: {found.millilitres:.0f} mL more, from {settings.refer_ml:g} mL on refer.",
                "practice setting swelling.refer_ml; Armer & Stewart 2005",
            )
        )
    if found.centimetres is not None and found.centimetres >= settings.refer_cm:
        reasons.append(
            _reason(
                "swelling_circumference",
                f"{how}: {found.centimetres:.1f} cm more at one point, "
                f"from {settings.refer_cm:g} cm on refer.",
                "practice setting swelling.refer_cm; Armer & Stewart 2005",
            )
        )
    return reasons


def _watch_reasons(
    found: SwellingComparison, months_since_operation: float | None, settings: SwellingSettings
) -> list[Reason]:
    if found.percent is None or not settings.watch_percent <= found.percent:
        return []
    text = (
        f"{found.side.value} arm {found.percent:.1f} % larger: measure again "
        f"in {settings.watch_weeks} weeks."
    )
    if months_since_operation is not None and months_since_operation > settings.watch_after_months:
        text += (
            f" Beyond {settings.watch_after_months:g} months this raises the risk of reaching 10 % "
            "(hazard ratio 2.97)."
        )
    return [
        _reason(
            "swelling_watch",
            text,
            "practice setting swelling.watch_percent; Specht 2013",
        )
    ]


def evaluate_circumferences(
    now: CircumferencesMeasured,
    baseline: CircumferencesMeasured | None,
    at_risk: frozenset[Side],
    settings: SwellingSettings,
    *,
    months_since_operation: float | None = None,
) -> SwellingEvaluation:
    """Whether to refer, to measure again, or neither, with every reason that applies."""
    comparisons = compare_arms(now, baseline, at_risk)
    by_side = {found.side: refer_reasons(found, settings) for found in comparisons}
    refer = [reason for reasons in by_side.values() for reason in reasons]
    if now.new_heaviness:
        refer.append(
            _reason("new_heaviness", "New heaviness of the arm: refer.", "common practice")
        )
    watch: list[Reason] = []
    if not refer:
        watch = [
            reason
            for found in comparisons
            for reason in _watch_reasons(found, months_since_operation, settings)
        ]
    advice = (
        SwellingAdvice.REFER if refer else SwellingAdvice.AGAIN if watch else SwellingAdvice.NONE
    )
    return SwellingEvaluation(
        left_ml=_volume(now, Side.LEFT),
        right_ml=_volume(now, Side.RIGHT),
        comparisons=comparisons,
        advice=advice,
        remeasure_in_weeks=settings.watch_weeks if watch else None,
        reasons=tuple(refer + watch),
        refer_sides=tuple(side for side, why in by_side.items() if why or now.new_heaviness),
    )
