"""Evaluating a re-check against the discharge, alike in side, movement and kind. Pure.

Never against the last reading: two small losses would hide a large one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from practice.core.localtime import local_day
from practice.core.terms import Side
from sessions.measurements.domain.comparison import (
    ChangeLabel,
    ComparableReading,
    ReadingKind,
    label_change,
    reading_kind,
)
from sessions.measurements.domain.events import PostureSeverity
from sessions.measurements.domain.measurement_error import threshold
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState, PostureFindingState
from sessions.stretches.domain.events import (
    PainEvaluation,
    PostureEvaluation,
    PostureReference,
    ReadingEvaluation,
    Reference,
    StretchDischarged,
)

SEVERITY_GRADE = {
    PostureSeverity.NONE: 0,
    PostureSeverity.MILD: 1,
    PostureSeverity.MODERATE: 2,
    PostureSeverity.SEVERE: 3,
}


def pain_grade(pain: int) -> int:
    """None 0, mild 1 to 3, moderate 4 to 6, severe 7 to 10 (common practice)."""
    return 0 if pain == 0 else 1 if pain <= 3 else 2 if pain <= 6 else 3


def reference_kind(reference: Reference) -> ReadingKind:
    """What a reading must share with the discharge reading to be evaluated against it."""
    return ReadingKind(
        reference.movement,
        reference.side,
        reference.motion,
        reference.assisted,
        reference.instrument,
    )


@dataclass(frozen=True)
class RecheckEvidence:
    """What was measured and seen since a re-check could be done: from ``since`` on, after
    the discharge. ``removed`` were entered in error: nothing is compared with them, so that what
    rests on one is not held by itself."""

    readings: Sequence[ComparableReading]
    findings: Sequence[PostureFindingState]
    removed: frozenset[UUID] = frozenset()

    @classmethod
    def within(
        cls, motion: MeasurementsState, *, since: date, after: datetime, until: datetime, zone: str
    ) -> RecheckEvidence:
        """Only what was taken on the local day ``since`` or later, after the discharge, and
        not later than ``until``."""

        def counts(at: datetime) -> bool:
            return after < at <= until and local_day(at, zone) >= since

        return cls(
            [one for one in motion.readings if counts(one.occurred_at)],
            [one for one in motion.findings if counts(one.occurred_at)],
            motion.removed,
        )

    def reading_for(self, reference: Reference) -> ComparableReading | None:
        """The latest alike reading; the discharge reading's rater outranks another."""
        if reference.reading_id in self.removed:
            return None
        alike = [r for r in self.readings if reading_kind(r) == reference_kind(reference)]
        same = [r for r in alike if r.rater_id == reference.rater_id]
        return max(same or alike, key=lambda r: r.order, default=None)

    def finding_for(self, reference: PostureReference) -> PostureFindingState | None:
        """The latest look at a posture finding."""
        if reference.finding_id in self.removed:
            return None
        looked_for = (reference.finding, reference.side)
        alike = [f for f in self.findings if (f.found.finding, f.found.side) == looked_for]
        return max(alike, key=lambda f: f.order, default=None)

    def with_pain(self, sides: frozenset[Side], reference: UUID | None) -> ComparableReading | None:
        """The latest reading on these sides at which pain was asked, to compare with that at the
        ``reference``."""
        if reference in self.removed:
            return None
        asked = [r for r in self.readings if r.pain is not None and r.side in sides]
        return max(asked, key=lambda r: r.order, default=None)


@dataclass(frozen=True)
class RecheckEvaluation:
    """What the evidence says: ``regressed`` as soon as anything is, ``complete`` when all was.

    ``times`` are those of the evidence used.
    """

    evaluations: tuple[ReadingEvaluation, ...]
    postures: tuple[PostureEvaluation, ...]
    pain: PainEvaluation | None
    regressed: bool
    complete: bool
    times: tuple[datetime, ...]
    used: tuple[ComparableReading, ...]


def evaluate_reading(
    reference: Reference, reading: ComparableReading, settings: MeasurementSettings
) -> ReadingEvaluation | None:
    """One reading against the discharge reading; None where the instrument is not evaluated."""
    same = reading.rater_id == reference.rater_id
    found = threshold(reading.instrument, same_rater=same, settings=settings)
    if found is None:
        return None
    change = reading.degrees - reference.degrees
    return ReadingEvaluation(
        reading_id=reading.reading_id,
        movement=reference.movement,
        reference=reference.degrees,
        degrees=reading.degrees,
        change=change,
        threshold=found[0],
        policy=found[1],
        label=label_change(change, found[0]).value,
    )


def evaluate_posture(
    reference: PostureReference, finding: PostureFindingState
) -> PostureEvaluation:
    """One posture finding against the discharge."""
    return PostureEvaluation(
        finding_id=finding.found.finding_id,
        finding=reference.finding,
        side=reference.side,
        reference=reference.severity,
        severity=finding.found.severity,
        worse=SEVERITY_GRADE[finding.found.severity] > SEVERITY_GRADE[reference.severity],
    )


def evaluate_pain(reference: int, reading: ComparableReading) -> PainEvaluation | None:
    """The pain at a reading against the discharge."""
    if reading.pain is None:
        return None
    return PainEvaluation(
        reading_id=reading.reading_id,
        reference=reference,
        pain=reading.pain,
        worse=pain_grade(reading.pain) > pain_grade(reference),
    )


def sides_of(side: Side) -> frozenset[Side]:
    """The sides that a prescription speaks of; both where it is for both."""
    return frozenset(Side) if side is Side.BOTH else frozenset({side, Side.BOTH})


def evaluate_recheck(
    discharge: StretchDischarged,
    side: Side,
    evidence: RecheckEvidence,
    settings: MeasurementSettings,
) -> RecheckEvaluation:
    """Everything a discharge stands on against the evidence."""
    pairs = [(ref, evidence.reading_for(ref)) for ref in discharge.references]
    evaluations = [
        (reading, found)
        for ref, reading in pairs
        if reading is not None and (found := evaluate_reading(ref, reading, settings)) is not None
    ]
    seen = [(ref, evidence.finding_for(ref)) for ref in discharge.postures]
    postures = [(finding, evaluate_posture(ref, finding)) for ref, finding in seen if finding]
    asked = None
    if discharge.pain is not None:
        asked = evidence.with_pain(sides_of(side), discharge.pain_reading_id)
    pain = evaluate_pain(discharge.pain, asked) if discharge.pain is not None and asked else None
    complete = (
        len(evaluations) == len(discharge.references)
        and len(postures) == len(discharge.postures)
        and (discharge.pain is None or pain is not None)
    )
    regressed = (
        any(found.label == ChangeLabel.REGRESSED for _, found in evaluations)
        or any(found.worse for _, found in postures)
        or (pain is not None and pain.worse)
    )
    times = [r.occurred_at for r, _ in evaluations] + [f.occurred_at for f, _ in postures]
    if asked is not None:
        times.append(asked.occurred_at)
    return RecheckEvaluation(
        evaluations=tuple(found for _, found in evaluations),
        postures=tuple(found for _, found in postures),
        pain=pain,
        regressed=regressed,
        complete=complete,
        times=tuple(times),
        used=tuple(reading for reading, _ in evaluations),
    )
