"""A reading or posture finding that answers an open re-check. Pure.

Early (up to the practice's days): it does the re-check. Late: it does the oldest
open one, and the next one too where that is no further ahead than a reading may be early; the
intervals already passed are skipped. A second one: a plain
reading. An unlike one (side, movement, kind, instrument): the re-check stays open.
After the stretch was ended: a plain reading.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from practice.core.events import DatedEvent, Event
from practice.core.localtime import local_day
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.measurements.domain.comparison import ComparableReading, reading_kind
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState, PostureFindingState
from sessions.stretches.domain.events import (
    PlannedRecheck,
    RecheckMaintained,
    RecheckRegressed,
    RecheckSkipped,
    ResumedBy,
    StretchDischarged,
    StretchResumed,
)
from sessions.stretches.domain.prescription_state import (
    PrescriptionState,
    RecheckState,
    StretchStatus,
)
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.recheck_evaluation import (
    RecheckEvaluation,
    RecheckEvidence,
    evaluate_recheck,
    reference_kind,
    sides_of,
)
from sessions.stretches.domain.settings import RecheckSettings
from sessions.stretches.domain.state import StretchesState

PASSED_REASON = "its interval had passed when range was looked at"


@dataclass(frozen=True)
class RecheckAnswerFacts:
    """What answering needs besides the state: settings, facility calendars, new ids."""

    measurement: MeasurementSettings
    policy: RecheckSettings
    calendar_of: Callable[[UUID | None, str], FacilityCalendar]
    new_id: Callable[[], UUID]

    def plan_for(self, discharge: StretchDischarged) -> RecheckPlan:
        """How the following re-checks of a discharge are dated: its own zone and open days."""
        calendar = self.calendar_of(discharge.facility_id, discharge.zone)
        return RecheckPlan(self.policy, calendar, self.new_id)


@dataclass(frozen=True)
class NewSigns:
    """What came with the trigger: new pain or swelling, and an explanation if there is one."""

    new_pain: bool = False
    new_swelling: bool = False
    explanation: str = ""

    @property
    def unexplained(self) -> bool:
        """New pain or swelling that nobody has explained: then a loss is to be referred."""
        return (self.new_pain or self.new_swelling) and not self.explanation.strip()


NO_SIGNS = NewSigns()

Measured = ComparableReading | PostureFindingState
"""What may answer a re-check."""


def touches(prescription: PrescriptionState, measured: Measured) -> bool:
    """Whether a reading or posture finding may say something about a discharged stretch."""
    discharge = prescription.discharge
    if discharge is None:
        return False
    if isinstance(measured, PostureFindingState):
        found = measured.found
        return any(
            (ref.finding, ref.side) == (found.finding, found.side) for ref in discharge.postures
        )
    if any(reference_kind(ref) == reading_kind(measured) for ref in discharge.references):
        return True
    sides = sides_of(prescription.prescribed.side)
    return discharge.pain is not None and measured.pain is not None and measured.side in sides


def answers_for_stretch(
    state: StretchesState,
    key: UUID,
    motion: MeasurementsState,
    facts: RecheckAnswerFacts,
    *,
    since: datetime | None = None,
    signs: NewSigns = NO_SIGNS,
) -> list[DatedEvent]:
    """What the measurements from ``since`` on do to the open re-checks of one stretch.

    In order of time, each evaluated by what was measured until then; the first that does
    anything ends it. Without ``since``: all since the discharge.
    """
    one = state.prescriptions.get(key)
    if one is None or one.status is not StretchStatus.DISCHARGED or one.discharged_at is None:
        return []
    for measured in _in_order(motion):
        early = measured.occurred_at <= one.discharged_at or (
            since is not None and measured.occurred_at < since
        )
        if early or not touches(one, measured):
            continue
        events = _answer_one(state, key, one, measured.occurred_at, motion, facts, signs)
        if events:
            return [DatedEvent(event, measured.occurred_at) for event in events]
    return []


def _in_order(motion: MeasurementsState) -> list[Measured]:
    found: list[Measured] = [*motion.readings, *motion.findings]
    return sorted(found, key=lambda one: one.order)


def _answer_one(
    state: StretchesState,
    key: UUID,
    prescription: PrescriptionState,
    at: datetime,
    motion: MeasurementsState,
    facts: RecheckAnswerFacts,
    signs: NewSigns,
) -> list[Event]:
    discharge, discharged_at = prescription.discharge, prescription.discharged_at
    if discharge is None or discharged_at is None:
        return []
    day = local_day(at, discharge.zone)
    reached = _reached(state.open_rechecks(key), day, facts.policy)
    if not reached:
        return []
    current = reached[0]

    def evaluate(recheck: RecheckState) -> RecheckEvaluation:
        evidence = RecheckEvidence.within(
            motion,
            since=recheck.planned.due_on - timedelta(days=facts.policy.early_days),
            after=discharged_at,
            until=at,
            zone=discharge.zone,
        )
        side = prescription.prescribed.side
        return evaluate_recheck(discharge, side, evidence, facts.measurement)

    evaluation = evaluate(current)
    if evaluation.regressed:
        return _regressed(state, key, current, evaluation, signs)
    if not evaluation.complete:
        return []
    return _maintained(state, key, reached, day, evaluation, evaluate, facts)


def _reached(opens: list[RecheckState], day: date, policy: RecheckSettings) -> list[RecheckState]:
    """The open re-checks that a reading of that day does or passes, oldest first."""
    early = timedelta(days=policy.early_days)
    return [one for one in opens if one.planned.due_on - early <= day]


def _regressed(
    state: StretchesState,
    key: UUID,
    current: RecheckState,
    evaluation: RecheckEvaluation,
    signs: NewSigns,
) -> list[Event]:
    others = [r.planned.recheck_id for r in state.open_rechecks(key) if r is not current]
    regressed = RecheckRegressed(
        recheck_id=current.planned.recheck_id,
        prescription_id=key,
        evaluations=evaluation.evaluations,
        postures=evaluation.postures,
        pain=evaluation.pain,
        refer=signs.unexplained,
    )
    resumed = StretchResumed(
        prescription_id=key,
        by=ResumedBy.RECHECK,
        recheck_id=current.planned.recheck_id,
        reason="range regressed beyond measurement error at the re-check",
        cancelled=tuple(others),
    )
    return [regressed, resumed]


def next_planned(
    state: StretchesState,
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


def _maintained(
    state: StretchesState,
    key: UUID,
    reached: list[RecheckState],
    day: date,
    evaluation: RecheckEvaluation,
    evaluate: Callable[[RecheckState], RecheckEvaluation],
    facts: RecheckAnswerFacts,
) -> list[Event]:
    """The oldest is held; of a late one the reading may hold the next, still ahead, as well.

    Intervals between them that had passed are skipped.
    """
    discharge = state.prescriptions[key].discharge
    if discharge is None:
        return []
    current, *later = reached
    passed = [one for one in later if one.planned.due_on < day]
    held = [(current, evaluation)]
    ahead = next((one for one in later if one.planned.due_on >= day), None)
    if ahead is not None and current.planned.due_on < day:
        found = evaluate(ahead)
        if found.complete:
            held.append((ahead, found))
    done = {one.planned.recheck_id for one in (*passed, *(one for one, _ in held))}
    done_on = max(local_day(time, discharge.zone) for time in evaluation.times)
    following = next_planned(state, key, discharge, done, done_on, facts.plan_for(discharge))
    maintained = [
        RecheckMaintained(
            recheck_id=one.planned.recheck_id,
            prescription_id=key,
            evaluations=found.evaluations,
            postures=found.postures,
            pain=found.pain,
            planned_next=following if one is held[-1][0] else None,
        )
        for one, found in held
    ]
    skipped = [
        RecheckSkipped(
            recheck_id=one.planned.recheck_id,
            prescription_id=key,
            reason=PASSED_REASON,
            passed=True,
            passed_with=current.planned.recheck_id,
        )
        for one in passed
    ]
    return [*maintained, *skipped]
