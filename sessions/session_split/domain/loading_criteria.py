"""External load in a session: what permissions say of each limb, narrowed by what was measured."""

from __future__ import annotations

import msgspec

from clients.clinical.domain.limbs import ARMS, LoadedLimb
from clients.permissions.domain.results import LoadPermission
from practice.core.reasons import Audience, Reason
from sessions.measurements.domain.body import ArmMotion
from sessions.session_split.domain.settings import SessionSplitSettings


class LimbFacts(msgspec.Struct, frozen=True, kw_only=True):
    """One limb or the trunk: its permission, and of an arm what was last measured."""

    permission: LoadPermission
    motion: ArmMotion | None = None


class BodyFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What bears on every limb. ``sedentary`` None is not known and counts as sedentary."""

    sedentary: bool | None = None
    weeks_since_operation: int | None = None
    operated: bool = True


class LimbLoadingCriteria(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a limb may be loaded, with every reason against it and what is to be heeded."""

    limb: LoadedLimb
    open: bool
    reasons: tuple[Reason, ...]
    cautions: tuple[Reason, ...] = ()


def _no(code: str, text: str, source: str) -> Reason:
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)


POLICY = "practice setting session_split.{}; {}"


def _body(body: BodyFacts, settings: SessionSplitSettings) -> list[Reason]:
    if not body.operated or body.sedentary is False:
        return []
    weeks = body.weeks_since_operation
    if weeks is not None and weeks >= settings.sedentary_weeks:
        return []
    text = (
        "Fresh out of surgery and not used to exercise: no loading before "
        f"week {settings.sedentary_weeks}."
    )
    return [_no("fresh_and_sedentary", text, POLICY.format("sedentary_weeks", "practice policy"))]


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


def _arm(motion: ArmMotion, settings: SessionSplitSettings) -> list[Reason]:
    reasons = _range("flexion", motion.active_flexion, settings.load_flexion, "load_flexion")
    reasons += _range(
        "abduction", motion.active_abduction, settings.load_abduction, "load_abduction"
    )
    if motion.hitching:
        reasons.append(_no("hitching", "The shoulder hitches when raised.", "practice policy"))
    return reasons


def evaluate_loading_criteria(
    limb: LimbFacts, body: BodyFacts, settings: SessionSplitSettings
) -> LimbLoadingCriteria:
    """Whether one limb may carry external load; a limb that was not operated on is not held
    back by another's weeks or range. What its permission closes stays closed."""
    permission = limb.permission
    reasons = [*permission.reasons, *_body(body, settings)]
    if permission.operated and permission.limb in ARMS:
        reasons += _arm(limb.motion or ArmMotion(), settings)
    return LimbLoadingCriteria(
        limb=permission.limb,
        open=permission.open and not reasons,
        reasons=tuple(reasons),
        cautions=permission.cautions,
    )
