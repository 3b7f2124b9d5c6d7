"""The slice ``programme``: prescriptions, their re-checks, home exercises."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.domain.decisions import Slice
from practice.domain.events import Recorded
from sessions.domain.programme.events import (
    HomeExerciseTakenBack,
    HomeExerciseTaught,
    PlannedRecheck,
    RecheckCalled,
    RecheckCarried,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)


class Standing(StrEnum):
    """Where a prescription stands. A resumed one is active again."""

    PRESCRIBED = "prescribed"
    ACTIVE = "active"
    DISCHARGED = "discharged"
    ENDED = "ended"


class RecheckStatus(StrEnum):
    """Where a re-check stands."""

    PLANNED = "planned"
    CALLED = "called"
    HELD = "held"
    LOST = "lost"
    SKIPPED = "skipped"
    ENDED = "ended"


OPEN = frozenset({RecheckStatus.PLANNED, RecheckStatus.CALLED})


class Prescription(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch on the client's programme, with the discharge that stands, if any."""

    prescribed: StretchPrescribed
    prescribed_at: datetime
    standing: Standing = Standing.PRESCRIBED
    started_at: datetime | None = None
    active_since: datetime | None = None
    discharge: StretchDischarged | None = None
    discharged_at: datetime | None = None
    ended_at: datetime | None = None
    resumed: int = 0


class Recheck(msgspec.Struct, frozen=True, kw_only=True):
    """A re-check of a prescription, the session that was to carry it, when to look again."""

    prescription_id: UUID
    planned: PlannedRecheck
    status: RecheckStatus = RecheckStatus.PLANNED
    carried_by: UUID | None = None
    again_at: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether it still waits for a reading."""
        return self.status in OPEN


@dataclass
class ProgrammeBuilder:
    """What the fold changes."""

    prescriptions: dict[UUID, Prescription] = field(default_factory=dict)
    rechecks: dict[UUID, Recheck] = field(default_factory=dict)
    home: dict[UUID, HomeExerciseTaught] = field(default_factory=dict)
    taken_back: set[UUID] = field(default_factory=set)

    def prescription(self, key: UUID, **changes: object) -> None:
        """Change a prescription that is there."""
        if key in self.prescriptions:
            self.prescriptions[key] = msgspec.structs.replace(self.prescriptions[key], **changes)

    def recheck(self, key: UUID, **changes: object) -> None:
        """Change a re-check that is there."""
        if key in self.rechecks:
            self.rechecks[key] = msgspec.structs.replace(self.rechecks[key], **changes)

    def plan(self, prescription_id: UUID, planned: Iterable[PlannedRecheck | None]) -> None:
        """Add planned re-checks."""
        for one in planned:
            if one is not None:
                self.rechecks[one.recheck_id] = Recheck(
                    prescription_id=prescription_id, planned=one
                )

    def cancel(self, cancelled: Iterable[UUID]) -> None:
        """Re-checks that fall away."""
        for key in cancelled:
            self.recheck(key, status=RecheckStatus.ENDED)


@dataclass(frozen=True)
class ProgrammeState:
    """Prescriptions and re-checks by id, home exercises that stand by id."""

    prescriptions: dict[UUID, Prescription]
    rechecks: dict[UUID, Recheck]
    home: dict[UUID, HomeExerciseTaught]
    taken_back: frozenset[UUID]

    def open_rechecks(self, prescription_id: UUID) -> list[Recheck]:
        """The re-checks of a prescription that wait for a reading, earliest first."""
        found = [
            r for r in self.rechecks.values() if r.prescription_id == prescription_id and r.is_open
        ]
        return sorted(found, key=lambda r: (r.planned.due_on, r.planned.months))

    def last_months(self, prescription_id: UUID) -> int:
        """The longest interval planned so far since the discharge that stands."""
        prescription = self.prescriptions[prescription_id]
        first = prescription.discharge.planned if prescription.discharge else ()
        since = {p.recheck_id for p in first}
        months = [
            r.planned.months
            for key, r in self.rechecks.items()
            if r.prescription_id == prescription_id and (r.is_open or key in since)
        ]
        return max(months, default=0)


def _prescriptions(builder: ProgrammeBuilder, recorded: Recorded) -> bool:
    data, at = recorded.data, recorded.effective_at
    if isinstance(data, StretchPrescribed):
        builder.prescriptions[data.prescription_id] = Prescription(
            prescribed=data, prescribed_at=at
        )
    elif isinstance(data, StretchStarted):
        builder.prescription(
            data.prescription_id, standing=Standing.ACTIVE, started_at=at, active_since=at
        )
    elif isinstance(data, StretchDischarged):
        builder.prescription(
            data.prescription_id,
            standing=Standing.DISCHARGED,
            discharge=data,
            discharged_at=at,
        )
        builder.plan(data.prescription_id, data.planned)
    elif isinstance(data, StretchResumed):
        _resume(builder, data, at)
    elif isinstance(data, StretchEnded):
        builder.prescription(data.prescription_id, standing=Standing.ENDED, ended_at=at)
        builder.cancel(data.cancelled)
    else:
        return False
    return True


def _resume(builder: ProgrammeBuilder, data: StretchResumed, at: datetime) -> None:
    before = builder.prescriptions.get(data.prescription_id)
    builder.prescription(
        data.prescription_id,
        standing=Standing.ACTIVE,
        discharge=None,
        discharged_at=None,
        active_since=at,
        resumed=before.resumed + 1 if before else 1,
    )
    builder.cancel(data.cancelled)


def _rechecks(builder: ProgrammeBuilder, data: object) -> None:
    if isinstance(data, RecheckCalled):
        builder.recheck(data.recheck_id, status=RecheckStatus.CALLED)
    elif isinstance(data, RecheckCarried):
        builder.recheck(data.recheck_id, carried_by=data.session_id, again_at=data.again_at)
    elif isinstance(data, RecheckHeld):
        builder.recheck(data.recheck_id, status=RecheckStatus.HELD)
        builder.plan(data.prescription_id, [data.planned_next])
    elif isinstance(data, RecheckLost):
        builder.recheck(data.recheck_id, status=RecheckStatus.LOST)
    elif isinstance(data, RecheckSkipped):
        builder.recheck(data.recheck_id, status=RecheckStatus.SKIPPED)
        builder.plan(data.prescription_id, [data.planned_next])


def evolve(builder: ProgrammeBuilder, recorded: Recorded) -> None:
    """Fold one event."""
    if _prescriptions(builder, recorded):
        return
    data = recorded.data
    if isinstance(data, HomeExerciseTaught):
        builder.home[data.home_exercise_id] = data
    elif isinstance(data, HomeExerciseTakenBack):
        builder.home.pop(data.home_exercise_id, None)
        builder.taken_back.add(data.home_exercise_id)
    else:
        _rechecks(builder, data)


def freeze(builder: ProgrammeBuilder) -> ProgrammeState:
    """The state that decisions see."""
    return ProgrammeState(
        prescriptions=dict(builder.prescriptions),
        rechecks=dict(builder.rechecks),
        home=dict(builder.home),
        taken_back=frozenset(builder.taken_back),
    )


PROGRAMME: Slice[ProgrammeBuilder, ProgrammeState] = Slice(
    name="programme",
    folds=(
        StretchPrescribed,
        StretchStarted,
        StretchDischarged,
        StretchResumed,
        StretchEnded,
        RecheckCalled,
        RecheckCarried,
        RecheckHeld,
        RecheckLost,
        RecheckSkipped,
        HomeExerciseTaught,
        HomeExerciseTakenBack,
    ),
    initial=ProgrammeBuilder,
    evolve=evolve,
    freeze=freeze,
)
