"""The suggested split of the paid hour, with its reasons. Pure; practice policy throughout.

The parts are multiples of the practice's step and sum exactly to the booked length:
what the step leaves over goes to measuring and talk. More deficit never gives fewer
minutes of stretching.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor

import msgspec

from practice.core.reasons import Audience, Reason, invalid
from practice.core.terms import Mode, SessionPart
from sessions.session_split.domain.loading_criteria import (
    LimbLoadingCriteria,
    evaluate_loading_criteria,
)
from sessions.session_split.domain.settings import SessionSplitSettings
from sessions.session_split.domain.share import SessionSplitFacts, split_reason, stretching_share

SHORTEST_MINUTES = 10
LONGEST_MINUTES = 480
EPSILON = 1e-9
WORK_PARTS = (SessionPart.STRETCHING, SessionPart.CARDIO, SessionPart.STRENGTH)


class SplitPart(msgspec.Struct, frozen=True, kw_only=True):
    """One part: whole minutes, whether the payer pays (None: nobody else pays), what it is."""

    part: SessionPart
    minutes: int
    payable: bool | None
    note: str = ""


class SuggestedSplit(msgspec.Struct, frozen=True, kw_only=True):
    """The parts, summing to the booked length, every reason, and each limb's loading criteria."""

    booked_minutes: int
    parts: tuple[SplitPart, ...]
    reasons: tuple[Reason, ...]
    loading_criteria: tuple[LimbLoadingCriteria, ...]


SELF_DIRECTED = Reason(
    code="split.self_directed",
    text="All stretching is self-directed: the client does it alone, the practitioner instructs.",
    source="the permissions of the session",
)


def _measuring(facts: SessionSplitFacts, settings: SessionSplitSettings) -> int:
    wanted = settings.evaluation_minutes if facts.evaluation else settings.measuring_minutes
    return min(wanted, facts.booked_minutes)


NO_WORK_NOTES = {
    **dict.fromkeys(WORK_PARTS, ""),
    SessionPart.MEASURING_AND_TALK: "measure, talk, refer",
}
ClosedParts = dict[SessionPart, list[Reason]]


def _closed(
    facts: SessionSplitFacts,
    loading_criteria: Sequence[LimbLoadingCriteria],
    settings: SessionSplitSettings,
) -> ClosedParts:
    """The parts that cannot be delivered, each with every reason why."""
    scope = settings.delivers.get(facts.credential, ())
    who = facts.credential.value.replace("_", " ")
    closed: ClosedParts = {}
    if facts.widest_mode is Mode.NOT_TODAY:
        text = "Not today: no stretching, cardio or strength. Measure, talk and refer."
        why = Reason(
            code="split.not_today", text=text, source="practice policy: refer, no work today"
        )
        return {part: [why] for part in WORK_PARTS}
    for part in WORK_PARTS:
        if part not in scope:
            text = f"{part.value} is outside what a {who} delivers here."
            closed[part] = [split_reason("outside_scope", text, "delivers", clinical=False)]
    if not facts.stretching_allowed:
        text = f"The law here does not let a {who} stretch clients."
        reason = Reason(code="not_lawful", text=text, source="table of jurisdiction limits")
        closed.setdefault(SessionPart.STRETCHING, []).append(reason)
    if not any(one.open for one in loading_criteria):
        text = "No limb meets the loading criteria."
        reason = Reason(
            code="no_loading_criteria_met",
            text=text,
            source="the loading criteria of each limb",
            audience=Audience.CLINICAL,
        )
        closed.setdefault(SessionPart.STRENGTH, []).append(reason)
    if facts.credential in settings.measured_first and facts.body.operated and not facts.deficits:
        text = (
            f"No affected movement of an operated client is measured: no strength from a {who} "
            "before one is."
        )
        reason = split_reason("measured_first", text, "measured_first")
        closed.setdefault(SessionPart.STRENGTH, []).append(reason)
    return closed


def _steps(left: int, share: float, closed: ClosedParts, step: int) -> dict[SessionPart, int]:
    """Whole steps of each part; all of them are given out where any part can take them."""
    total = left // step
    possible = set(SessionPart) - closed.keys()
    stretching = floor(total * share + EPSILON) if SessionPart.STRETCHING in possible else 0
    rest = total - stretching
    others = [part for part in (SessionPart.CARDIO, SessionPart.STRENGTH) if part in possible]
    if not others:
        given = total if SessionPart.STRETCHING in possible else 0
        return {SessionPart.STRETCHING: given, SessionPart.CARDIO: 0, SessionPart.STRENGTH: 0}
    if len(others) == 1:
        other = {others[0]: rest}
    else:
        other = {SessionPart.CARDIO: rest - rest // 2, SessionPart.STRENGTH: rest // 2}
    return {
        SessionPart.STRETCHING: stretching,
        SessionPart.CARDIO: other.get(SessionPart.CARDIO, 0),
        SessionPart.STRENGTH: other.get(SessionPart.STRENGTH, 0),
    }


def _notes(facts: SessionSplitFacts, settings: SessionSplitSettings) -> dict[SessionPart, str]:
    weeks = facts.body.weeks_since_operation
    early = facts.body.operated and (weeks is None or weeks < settings.easy_cardio_weeks)
    easy = early or facts.tolerates_little
    stretching = "preparation, neck, then arms" if facts.at_risk_of_swelling else ""
    return {
        SessionPart.STRETCHING: stretching,
        SessionPart.CARDIO: "easy walking" if easy else "moderate",
        SessionPart.STRENGTH: "only limbs that meet the loading criteria",
        SessionPart.MEASURING_AND_TALK: "",
    }


def _history(facts: SessionSplitFacts) -> list[Reason]:
    reasons: list[Reason] = []
    if facts.tolerates_little:
        text = "The client tolerated little lately: easy, with rests."
        reasons.append(split_reason("tolerates_little", text, "easy_cardio_weeks"))
    if facts.last_sessions:
        count = len(facts.last_sessions)
        means = ", ".join(
            f"{part.value.replace('_', ' ')} "
            f"{sum(one.get(part, 0) for one in facts.last_sessions) / count:.0f}"
            for part in SessionPart
        )
        text = f"The last {count} sessions on average, in minutes: {means}."
        reasons.append(Reason(code="last_sessions", text=text, source="signed notes"))
    return reasons


def suggest_split(facts: SessionSplitFacts, settings: SessionSplitSettings) -> SuggestedSplit:
    """The split suggested for one session. Raises Rejected 400 for an impossible length."""
    if not SHORTEST_MINUTES <= facts.booked_minutes <= LONGEST_MINUTES:
        raise invalid(
            "booked_minutes", f"A session is {SHORTEST_MINUTES} to {LONGEST_MINUTES} minutes long."
        )
    loading_criteria = tuple(
        evaluate_loading_criteria(limb, facts.body, settings) for limb in facts.limbs
    )
    closed = _closed(facts, loading_criteria, settings)
    share, reasons = stretching_share(facts, settings)
    if facts.widest_mode is Mode.NOT_TODAY:
        reasons = []
    elif facts.widest_mode is Mode.SELF_DIRECTED and SessionPart.STRETCHING not in closed:
        reasons.append(SELF_DIRECTED)
    left = facts.booked_minutes - _measuring(facts, settings)
    steps = _steps(left, share, closed, settings.step_minutes)
    minutes = {part: count * settings.step_minutes for part, count in steps.items()}
    minutes[SessionPart.MEASURING_AND_TALK] = facts.booked_minutes - sum(minutes.values())
    payable, payer_reasons = _payable(minutes, facts)
    notes = _notes(facts, settings) if facts.widest_mode is not Mode.NOT_TODAY else NO_WORK_NOTES
    return SuggestedSplit(
        booked_minutes=facts.booked_minutes,
        parts=tuple(
            SplitPart(part=p, minutes=minutes[p], payable=payable[p], note=notes[p])
            for p in SessionPart
        ),
        reasons=(*reasons, *_flat(closed), *payer_reasons, *_history(facts)),
        loading_criteria=loading_criteria,
    )


def _flat(closed: ClosedParts) -> list[Reason]:
    """Every reason once, though it may close several parts."""
    return list(dict.fromkeys(reason for reasons in closed.values() for reason in reasons))


def _payable(
    minutes: Mapping[SessionPart, int], facts: SessionSplitFacts
) -> tuple[dict[SessionPart, bool | None], list[Reason]]:
    if facts.paid is None:
        return dict.fromkeys(SessionPart, None), []
    unpaid = [part for part in SessionPart if part not in facts.paid and minutes[part]]
    reasons = [
        Reason(
            code="not_payable",
            text=f"The payer does not pay for {part.value.replace('_', ' ')}.",
            source="payer",
        )
        for part in unpaid
    ]
    return {part: part in facts.paid for part in SessionPart}, reasons


def check_practitioner_split(
    minutes: Mapping[SessionPart, int],
    facts: SessionSplitFacts,
    settings: SessionSplitSettings,
    reason: str,
) -> list[Reason]:
    """The loading criteria and the scope that a practitioner's own split does not keep.

    Raises Rejected 400 where it does not sum to the booked length, or where it crosses
    a loading criterion and no reason is given.
    """
    if any(value < 0 for value in minutes.values()):
        raise invalid("minutes", "Minutes are whole numbers from 0 on.")
    total = sum(minutes.values())
    if total != facts.booked_minutes:
        raise invalid(
            "minutes", f"The parts sum to {total}; the session is {facts.booked_minutes} minutes."
        )
    suggested = suggest_split(facts, settings)
    closed = _closed(facts, suggested.loading_criteria, settings)
    unmet_criteria = _flat({part: why for part, why in closed.items() if minutes.get(part)})
    if unmet_criteria and not reason.strip():
        raise invalid("reason", f"Say why: {' '.join(r.text for r in unmet_criteria)}")
    return unmet_criteria
