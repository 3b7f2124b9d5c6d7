"""Judging a re-check against the discharge, alike in side, movement and kind. Pure.

Never against the last reading: two small losses would hide a large one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from practice.domain.localtime import local_day
from practice.domain.terms import Side
from sessions.domain.catalogue.terms import Posture
from sessions.domain.motion.comparing import Kind, Label, Reading, kind_of, label_change
from sessions.domain.motion.error import threshold
from sessions.domain.motion.events import Severity
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import Finding, MotionState
from sessions.domain.programme.events import (
    Judged,
    JudgedPain,
    JudgedPosture,
    PostureReference,
    Reference,
    StretchDischarged,
)

GRADE = {Severity.NONE: 0, Severity.MILD: 1, Severity.MODERATE: 2, Severity.SEVERE: 3}


def pain_grade(pain: int) -> int:
    """None 0, mild 1 to 3, moderate 4 to 6, severe 7 to 10 (common practice)."""
    return 0 if pain == 0 else 1 if pain <= 3 else 2 if pain <= 6 else 3


def reference_kind(reference: Reference) -> Kind:
    """What a reading must share with the discharge reading to be judged against it."""
    return Kind(
        reference.movement,
        reference.side,
        reference.motion,
        reference.assisted,
        reference.instrument,
    )


@dataclass(frozen=True)
class Evidence:
    """What was measured and seen since a re-check could be done: from ``since`` on, after
    the discharge."""

    readings: Sequence[Reading]
    findings: Sequence[Finding]

    @classmethod
    def within(
        cls, motion: MotionState, *, since: date, after: datetime, until: datetime, zone: str
    ) -> Evidence:
        """Only what was taken on the local day ``since`` or later, after the discharge, and
        not later than ``until``."""

        def counts(at: datetime) -> bool:
            return after < at <= until and local_day(at, zone) >= since

        return cls(
            [one for one in motion.readings if counts(one.at)],
            [one for one in motion.findings if counts(one.at)],
        )

    def reading_for(self, reference: Reference) -> Reading | None:
        """The latest alike reading; the discharge reading's rater outranks another."""
        alike = [r for r in self.readings if kind_of(r) == reference_kind(reference)]
        same = [r for r in alike if r.rater_id == reference.rater_id]
        return max(same or alike, key=lambda r: r.order, default=None)

    def finding_for(self, finding: Posture, side: Side) -> Finding | None:
        """The latest look at a posture finding."""
        alike = [f for f in self.findings if (f.found.finding, f.found.side) == (finding, side)]
        return max(alike, key=lambda f: (f.at, f.version), default=None)

    def with_pain(self, sides: frozenset[Side]) -> Reading | None:
        """The latest reading on these sides at which pain was asked."""
        asked = [r for r in self.readings if r.pain is not None and r.side in sides]
        return max(asked, key=lambda r: r.order, default=None)


@dataclass(frozen=True)
class Verdict:
    """What the evidence says: ``lost`` as soon as anything is, ``complete`` when all was judged.

    ``times`` are those of the evidence used.
    """

    judged: tuple[Judged, ...]
    postures: tuple[JudgedPosture, ...]
    pain: JudgedPain | None
    lost: bool
    complete: bool
    times: tuple[datetime, ...]
    used: tuple[Reading, ...]


def judge_reading(
    reference: Reference, reading: Reading, settings: MeasurementSettings
) -> Judged | None:
    """One reading against the discharge reading; None where the instrument is not judged."""
    same = reading.rater_id == reference.rater_id
    found = threshold(reading.instrument, same_rater=same, settings=settings)
    if found is None:
        return None
    change = reading.degrees - reference.degrees
    return Judged(
        reading_id=reading.reading_id,
        movement=reference.movement,
        reference=reference.degrees,
        degrees=reading.degrees,
        change=change,
        threshold=found[0],
        policy=found[1],
        label=label_change(change, found[0]).value,
    )


def judge_posture(reference: PostureReference, finding: Finding) -> JudgedPosture:
    """One posture finding against the discharge."""
    return JudgedPosture(
        finding_id=finding.found.finding_id,
        finding=reference.finding,
        side=reference.side,
        reference=reference.severity,
        severity=finding.found.severity,
        worse=GRADE[finding.found.severity] > GRADE[reference.severity],
    )


def judge_pain(reference: int, reading: Reading) -> JudgedPain | None:
    """The pain at a reading against the discharge."""
    if reading.pain is None:
        return None
    return JudgedPain(
        reading_id=reading.reading_id,
        reference=reference,
        pain=reading.pain,
        worse=pain_grade(reading.pain) > pain_grade(reference),
    )


def sides_of(side: Side) -> frozenset[Side]:
    """The sides that a prescription speaks of; both where it is for both."""
    return frozenset(Side) if side is Side.BOTH else frozenset({side, Side.BOTH})


def judge(
    discharge: StretchDischarged, side: Side, evidence: Evidence, settings: MeasurementSettings
) -> Verdict:
    """Everything a discharge stands on against the evidence."""
    pairs = [(ref, evidence.reading_for(ref)) for ref in discharge.references]
    judged = [
        (reading, found)
        for ref, reading in pairs
        if reading is not None and (found := judge_reading(ref, reading, settings)) is not None
    ]
    seen = [(ref, evidence.finding_for(ref.finding, ref.side)) for ref in discharge.postures]
    postures = [(finding, judge_posture(ref, finding)) for ref, finding in seen if finding]
    asked = evidence.with_pain(sides_of(side)) if discharge.pain is not None else None
    pain = judge_pain(discharge.pain, asked) if discharge.pain is not None and asked else None
    complete = (
        len(judged) == len(discharge.references)
        and len(postures) == len(discharge.postures)
        and (discharge.pain is None or pain is not None)
    )
    lost = (
        any(found.label == Label.LOST for _, found in judged)
        or any(found.worse for _, found in postures)
        or (pain is not None and pain.worse)
    )
    times = [r.at for r, _ in judged] + [f.at for f, _ in postures]
    if asked is not None:
        times.append(asked.at)
    return Verdict(
        judged=tuple(found for _, found in judged),
        postures=tuple(found for _, found in postures),
        pain=pain,
        lost=lost,
        complete=complete,
        times=tuple(times),
        used=tuple(reading for reading, _ in judged),
    )
