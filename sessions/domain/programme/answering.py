"""A reading or posture finding that answers an open re-check. Pure.

Early (up to the practice's days): it does the re-check. Late: it does the oldest
open one and the intervals already passed are skipped. A second one: a plain
reading. An unlike one (side, movement, kind, instrument): the re-check stays open.
After the stretch was ended: a plain reading.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from practice.domain.events import Event, Happened
from practice.domain.localtime import local_day
from sessions.domain.calendar.opening import Opening
from sessions.domain.motion.comparing import Reading, kind_of
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import Finding, MotionState
from sessions.domain.programme.dates import RecheckPlan
from sessions.domain.programme.events import (
    PlannedRecheck,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    ResumedBy,
    StretchDischarged,
    StretchResumed,
)
from sessions.domain.programme.judging import Evidence, Verdict, judge, reference_kind, sides_of
from sessions.domain.programme.settings import RecheckSettings
from sessions.domain.programme.state import Prescription, ProgrammeState, Recheck, Standing

PASSED = "its interval had passed when range was looked at"


@dataclass(frozen=True)
class AnswerFacts:
    """What answering needs besides the state: settings, open days by facility, new ids."""

    measurement: MeasurementSettings
    policy: RecheckSettings
    opening: Callable[[UUID | None], Opening]
    new_id: Callable[[], UUID]

    def plan_for(self, discharge: StretchDischarged) -> RecheckPlan:
        """How the following re-checks of a discharge are dated: its own zone and open days."""
        return RecheckPlan(
            self.policy, discharge.zone, self.opening(discharge.facility_id), self.new_id
        )


@dataclass(frozen=True)
class Signs:
    """What came with the trigger: new pain or swelling, and an explanation if there is one."""

    new_pain: bool = False
    new_swelling: bool = False
    explanation: str = ""

    @property
    def unexplained(self) -> bool:
        """New pain or swelling that nobody has explained: then a loss is to be referred."""
        return (self.new_pain or self.new_swelling) and not self.explanation.strip()


NO_SIGNS = Signs()

Measured = Reading | Finding
"""What may answer a re-check."""


def touches(prescription: Prescription, measured: Measured) -> bool:
    """Whether a reading or posture finding may say something about a discharged stretch."""
    discharge = prescription.discharge
    if discharge is None:
        return False
    if isinstance(measured, Finding):
        found = measured.found
        return any(
            (ref.finding, ref.side) == (found.finding, found.side) for ref in discharge.postures
        )
    if any(reference_kind(ref) == kind_of(measured) for ref in discharge.references):
        return True
    sides = sides_of(prescription.prescribed.side)
    return discharge.pain is not None and measured.pain is not None and measured.side in sides


def answer(
    state: ProgrammeState,
    key: UUID,
    motion: MotionState,
    facts: AnswerFacts,
    *,
    since: datetime | None = None,
    signs: Signs = NO_SIGNS,
) -> list[Happened]:
    """What the measurements from ``since`` on do to the open re-checks of one stretch.

    In order of time, each judged by what was measured until then; the first that does
    anything ends it. Without ``since``: all since the discharge.
    """
    one = state.prescriptions.get(key)
    if one is None or one.standing is not Standing.DISCHARGED or one.discharged_at is None:
        return []
    for measured in _in_order(motion):
        early = measured.at <= one.discharged_at or (since is not None and measured.at < since)
        if early or not touches(one, measured):
            continue
        events = _answer_one(state, key, one, measured.at, motion, facts, signs)
        if events:
            return [Happened(event, measured.at) for event in events]
    return []


def _in_order(motion: MotionState) -> list[Measured]:
    found: list[Measured] = [*motion.readings, *motion.findings]
    return sorted(found, key=lambda one: (one.at, one.version))


def _answer_one(
    state: ProgrammeState,
    key: UUID,
    prescription: Prescription,
    at: datetime,
    motion: MotionState,
    facts: AnswerFacts,
    signs: Signs,
) -> list[Event]:
    discharge, discharged_at = prescription.discharge, prescription.discharged_at
    if discharge is None or discharged_at is None:
        return []
    day = local_day(at, discharge.zone)
    reached = _reached(state.open_rechecks(key), day, facts.policy)
    if not reached:
        return []
    current = reached[0]
    evidence = Evidence.within(
        motion,
        since=current.planned.due_on - timedelta(days=facts.policy.early_days),
        after=discharged_at,
        until=at,
        zone=discharge.zone,
    )
    verdict = judge(discharge, prescription.prescribed.side, evidence, facts.measurement)
    if verdict.lost:
        return _lost(state, key, current, verdict, signs)
    if not verdict.complete:
        return []
    done_on = max(local_day(time, discharge.zone) for time in verdict.times)
    return _held(state, key, discharge, reached, done_on, verdict, facts)


def _reached(opens: list[Recheck], day: date, policy: RecheckSettings) -> list[Recheck]:
    """The open re-checks that a reading of that day does or passes, oldest first."""
    early = timedelta(days=policy.early_days)
    return [one for one in opens if one.planned.due_on - early <= day]


def _lost(
    state: ProgrammeState, key: UUID, current: Recheck, verdict: Verdict, signs: Signs
) -> list[Event]:
    others = [r.planned.recheck_id for r in state.open_rechecks(key) if r is not current]
    lost = RecheckLost(
        recheck_id=current.planned.recheck_id,
        prescription_id=key,
        judged=verdict.judged,
        postures=verdict.postures,
        pain=verdict.pain,
        refer=signs.unexplained,
    )
    resumed = StretchResumed(
        prescription_id=key,
        by=ResumedBy.RECHECK,
        recheck_id=current.planned.recheck_id,
        reason="range lost beyond measurement error at the re-check",
        cancelled=tuple(others),
    )
    return [lost, resumed]


def next_planned(
    state: ProgrammeState,
    key: UUID,
    discharge: StretchDischarged,
    done: set[UUID],
    done_on: date,
    plan: RecheckPlan,
) -> PlannedRecheck | None:
    """The next yearly re-check, where no other is left open."""
    if any(r.planned.recheck_id not in done for r in state.open_rechecks(key)):
        return None
    return plan.following(discharge.discharged_on, state.last_months(key), done_on)


def _held(
    state: ProgrammeState,
    key: UUID,
    discharge: StretchDischarged,
    reached: list[Recheck],
    done_on: date,
    verdict: Verdict,
    facts: AnswerFacts,
) -> list[Event]:
    done = {r.planned.recheck_id for r in reached}
    held = RecheckHeld(
        recheck_id=reached[0].planned.recheck_id,
        prescription_id=key,
        judged=verdict.judged,
        postures=verdict.postures,
        pain=verdict.pain,
        planned_next=next_planned(state, key, discharge, done, done_on, facts.plan_for(discharge)),
    )
    passed = [
        RecheckSkipped(
            recheck_id=one.planned.recheck_id, prescription_id=key, reason=PASSED, passed=True
        )
        for one in reached[1:]
    ]
    return [held, *passed]
