"""External load: which limb or region is past the practice's gate, and why the others are not."""

from __future__ import annotations

import msgspec

from clients.clinical.domain.limbs import ARMS, LoadedLimb
from practice.core.reasons import Audience, Reason
from sessions.session_split.domain.settings import SessionSplitSettings


class LimbFacts(msgspec.Struct, frozen=True, kw_only=True):
    """One limb or region. ``affected``: operated on or swollen there; ``operated`` False
    where it is swollen only.

    ``weeks`` since the latest operation that touches it, None where unknown. Flexion and
    abduction are the latest active, unassisted readings. ``leave``: the surgeon's,
    where the region needs it.
    """

    limb: LoadedLimb
    affected: bool = False
    operated: bool = True
    weeks: int | None = None
    active_flexion: int | None = None
    active_abduction: int | None = None
    hitching: bool = False
    pain: int | None = None
    swelling: bool = False
    surgeon_clearance: bool = False


class BodyFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What bears on every limb. ``clearance_missing``: the history asks for one, or was not
    asked whether it does. ``sedentary`` None is not known and counts as sedentary."""

    clearance_missing: bool = True
    sedentary: bool | None = None
    weeks_since_operation: int | None = None
    operated: bool = True


class LimbLoadingCriteria(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a limb may be loaded, with every reason against it."""

    limb: LoadedLimb
    open: bool
    reasons: tuple[Reason, ...]


def _no(code: str, text: str, source: str) -> Reason:
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)


POLICY = "practice setting session_split.{}; {}"


def _body(body: BodyFacts, settings: SessionSplitSettings) -> list[Reason]:
    reasons: list[Reason] = []
    if body.clearance_missing:
        reasons.append(_no("clearance_missing", "No loading without clearance.", "practice policy"))
    if body.operated and body.sedentary is not False:
        weeks = body.weeks_since_operation
        if weeks is None or weeks < settings.load_weeks:
            reasons.append(
                _no(
                    "fresh_and_sedentary",
                    f"Fresh out of surgery and not used to exercise: no loading before "
                    f"week {settings.load_weeks}.",
                    POLICY.format("load_weeks", "practice policy"),
                )
            )
    return reasons


def _weeks(limb: LimbFacts, least: int, setting: str, source: str) -> list[Reason]:
    if not limb.operated or (limb.weeks is not None and limb.weeks >= least):
        return []
    known = f"week {limb.weeks}" if limb.weeks is not None else "no date on record"
    return [
        _no(
            "too_soon_to_load",
            f"No load before week {least} after the operation ({known}).",
            POLICY.format(setting, source),
        )
    ]


def _range(name: str, degrees: int | None, least: int, setting: str) -> list[Reason]:
    if degrees is not None and degrees >= least:
        return []
    found = f"{degrees}°" if degrees is not None else "not measured"
    return [
        _no(
            f"{name}_short",
            f"Active {name} {found}; load from {least}° on.",
            POLICY.format(setting, "Namdari 2012"),
        )
    ]


def _arm(limb: LimbFacts, settings: SessionSplitSettings) -> list[Reason]:
    reasons = _weeks(limb, settings.load_weeks, "load_weeks", "PROSPER: from 4 weeks")
    reasons += _range("flexion", limb.active_flexion, settings.load_flexion, "load_flexion")
    reasons += _range("abduction", limb.active_abduction, settings.load_abduction, "load_abduction")
    if limb.hitching:
        reasons.append(_no("hitching", "The shoulder hitches when raised.", "practice policy"))
    return reasons


def _affected(limb: LimbFacts, settings: SessionSplitSettings) -> list[Reason]:
    if limb.limb in ARMS:
        return _arm(limb, settings)
    if limb.limb is LoadedLimb.TRUNK:
        reasons = _weeks(limb, settings.trunk_weeks, "trunk_weeks", "UHN leaflet, OncoLink 2005")
        if not limb.surgeon_clearance:
            reasons.append(
                _no(
                    "surgeon_clearance_missing",
                    "The surgeon's clearance is missing.",
                    "practice policy",
                )
            )
        return reasons
    return _weeks(limb, settings.load_weeks, "load_weeks", "practice policy")


def evaluate_loading_criteria(
    limb: LimbFacts, body: BodyFacts, settings: SessionSplitSettings
) -> LimbLoadingCriteria:
    """Whether one limb may carry external load; a limb that is not affected is not held back
    by another's weeks or range."""
    reasons = _body(body, settings)
    if limb.affected:
        reasons += _affected(limb, settings)
    if limb.pain is not None and limb.pain > settings.load_pain:
        reasons.append(
            _no(
                "pain_under_load",
                f"Pain {limb.pain}; load up to {settings.load_pain}.",
                POLICY.format("load_pain", "practice policy"),
            )
        )
    elif limb.affected and limb.pain is None:
        reasons.append(_no("pain_not_asked", "Pain was not asked.", "practice policy"))
    return LimbLoadingCriteria(limb=limb.limb, open=not reasons, reasons=tuple(reasons))
