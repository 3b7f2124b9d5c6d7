"""The share of stretching in the time left, and the facts that a split is made from. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from practice.core.reasons import Audience, Reason
from practice.core.terms import Credential, Mode, SessionPart
from sessions.session_split.domain.loading_criteria import (
    BodyFacts,
    LimbFacts,
)
from sessions.session_split.domain.settings import SessionSplitSettings


class SessionSplitFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What the split is made from.

    ``booked_minutes`` the length of the session. ``deficits``: of each affected movement
    the missing share of its goal, 0 to 1. ``posture_findings``: moderate or severe ones.
    ``stretching_allowed``: what the law lets this credential do, also self-directed.
    ``paid``: parts that the payer pays for; None where there is no payer.
    ``last_sessions``: minutes by part of the last ones, newest first. ``widest_mode``: the widest
    that anything in the session may be, as evaluated; NOT_TODAY offers no work at all.
    """

    booked_minutes: int
    credential: Credential
    evaluation: bool = False
    deficits: tuple[float, ...] = ()
    posture_findings: int = 0
    body: BodyFacts = BodyFacts()
    limbs: tuple[LimbFacts, ...] = ()
    tolerates_little: bool = False
    at_risk_of_swelling: bool = False
    stretching_allowed: bool = True
    paid: tuple[SessionPart, ...] | None = None
    last_sessions: tuple[dict[SessionPart, int], ...] = ()
    widest_mode: Mode = Mode.HANDS_ON


def split_reason(code: str, text: str, setting: str, *, clinical: bool = True) -> Reason:
    """A reason that rests on a setting of the group ``session_split``."""
    return Reason(
        code=code,
        text=text,
        source=f"practice setting session_split.{setting}; practice policy",
        audience=Audience.CLINICAL if clinical else Audience.EVERYONE,
    )


def mean_deficit(deficits: Sequence[float]) -> float:
    """The mean missing share of the goals, 0 where nothing was measured."""
    return sum(deficits) / len(deficits) if deficits else 0.0


def stretching_floor(body: BodyFacts, settings: SessionSplitSettings) -> tuple[float, Reason]:
    """The least share of stretching (0 to 1) for the weeks since the operation, and why."""
    weeks = body.weeks_since_operation
    for one in sorted(settings.floors, key=lambda f: f.before_week):
        if body.operated and (weeks is None or weeks < one.before_week):
            when = f"week {weeks}" if weeks is not None else "no date of operation on record"
            text = f"{when}: at least {one.share:.0%} stretching before week {one.before_week}."
            return one.share, split_reason("early_after_surgery", text, "floors")
    text = f"At least {settings.floor_later:.0%} stretching."
    return settings.floor_later, split_reason("least_stretching", text, "floor_later")


def stretching_share(
    facts: SessionSplitFacts, settings: SessionSplitSettings
) -> tuple[float, list[Reason]]:
    """The share of the time left that stretching takes, before scope, with its reasons."""
    deficit = mean_deficit(facts.deficits)
    posture = min(settings.posture_share * facts.posture_findings, settings.posture_share_most)
    wanted = settings.base_share + settings.deficit_share * deficit + posture
    least, why = stretching_floor(facts.body, settings)
    reasons = [why]
    if facts.deficits:
        text = f"Range is {deficit:.0%} short of its goals on average."
        reasons.append(split_reason("deficit", text, "deficit_share"))
    else:
        text = "No affected movement has been measured: measure first."
        reasons.append(split_reason("not_measured", text, "deficit_share"))
    if facts.posture_findings:
        text = f"{facts.posture_findings} moderate or severe posture findings."
        reasons.append(split_reason("posture", text, "posture_share"))
    return min(max(wanted, least), settings.greatest_share), reasons
