"""The slice ``programme``: prescriptions, their re-checks, home exercises."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from sessions.stretches.domain.events import (
    HomeExerciseAssigned,
    HomeExerciseDiscontinued,
    PlannedRecheck,
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckPutOnCallList,
    RecheckRegressed,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)


class StretchStatus(StrEnum):
    """Where a prescription stands. A resumed one is active again."""

    PRESCRIBED = "prescribed"
    ACTIVE = "active"
    DISCHARGED = "discharged"
    ENDED = "ended"


class RecheckStatus(StrEnum):
    """Where a re-check stands."""

    PLANNED = "planned"
    ON_CALL_LIST = "on_call_list"
    MAINTAINED = "maintained"
    REGRESSED = "regressed"
    SKIPPED = "skipped"
    ENDED = "ended"


OPEN_STATUSES = frozenset({RecheckStatus.PLANNED, RecheckStatus.ON_CALL_LIST})


class PrescriptionState(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch on the client's programme, with the discharge that stands, if any."""

    prescribed: StretchPrescribed
    prescribed_at: datetime
    status: StretchStatus = StretchStatus.PRESCRIBED
    started_at: datetime | None = None
    active_since: datetime | None = None
    discharge: StretchDischarged | None = None
    discharged_at: datetime | None = None
    ended_at: datetime | None = None
    resumed: int = 0


class RecheckState(msgspec.Struct, frozen=True, kw_only=True):
    """A re-check of a prescription, the session that was to carry it, when to look again."""

    prescription_id: UUID
    planned: PlannedRecheck
    status: RecheckStatus = RecheckStatus.PLANNED
    covered_by_session_id: UUID | None = None
    next_review_at: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether it still waits for a reading."""
        return self.status in OPEN_STATUSES


@dataclass
class StretchesBuilder:
    """What the fold changes."""

    prescriptions: dict[UUID, PrescriptionState] = field(default_factory=dict)
    rechecks: dict[UUID, RecheckState] = field(default_factory=dict)
    home: dict[UUID, HomeExerciseAssigned] = field(default_factory=dict)
    discontinued: set[UUID] = field(default_factory=set)

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
                self.rechecks[one.recheck_id] = RecheckState(
                    prescription_id=prescription_id, planned=one
                )

    def cancel(self, cancelled: Iterable[UUID]) -> None:
        """Re-checks that fall away."""
        for key in cancelled:
            self.recheck(key, status=RecheckStatus.ENDED)


@dataclass(frozen=True)
class StretchesState:
    """Prescriptions and re-checks by id, home exercises that stand by id."""

    prescriptions: dict[UUID, PrescriptionState]
    rechecks: dict[UUID, RecheckState]
    home: dict[UUID, HomeExerciseAssigned]
    discontinued: frozenset[UUID]

    def open_rechecks(self, prescription_id: UUID) -> list[RecheckState]:
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


def _prescriptions(builder: StretchesBuilder, recorded: RecordedEvent) -> bool:
    data, at = recorded.data, recorded.occurred_at
    if isinstance(data, StretchPrescribed):
        builder.prescriptions[data.prescription_id] = PrescriptionState(
            prescribed=data, prescribed_at=at
        )
    elif isinstance(data, StretchStarted):
        builder.prescription(
            data.prescription_id, status=StretchStatus.ACTIVE, started_at=at, active_since=at
        )
    elif isinstance(data, StretchDischarged):
        builder.prescription(
            data.prescription_id,
            status=StretchStatus.DISCHARGED,
            discharge=data,
            discharged_at=at,
        )
        builder.plan(data.prescription_id, data.planned)
    elif isinstance(data, StretchResumed):
        _resume(builder, data, at)
    elif isinstance(data, StretchEnded):
        builder.prescription(data.prescription_id, status=StretchStatus.ENDED, ended_at=at)
        builder.cancel(data.cancelled)
    else:
        return False
    return True


def _resume(builder: StretchesBuilder, data: StretchResumed, at: datetime) -> None:
    before = builder.prescriptions.get(data.prescription_id)
    builder.prescription(
        data.prescription_id,
        status=StretchStatus.ACTIVE,
        discharge=None,
        discharged_at=None,
        active_since=at,
        resumed=before.resumed + 1 if before else 1,
    )
    builder.cancel(data.cancelled)


def _rechecks(builder: StretchesBuilder, data: object) -> None:
    if isinstance(data, RecheckPutOnCallList):
        builder.recheck(data.recheck_id, status=RecheckStatus.ON_CALL_LIST)
    elif isinstance(data, RecheckCoveredBySession):
        builder.recheck(
            data.recheck_id,
            covered_by_session_id=data.session_id,
            next_review_at=data.next_review_at,
        )
    elif isinstance(data, RecheckMaintained):
        builder.recheck(data.recheck_id, status=RecheckStatus.MAINTAINED)
        builder.plan(data.prescription_id, [data.planned_next])
    elif isinstance(data, RecheckRegressed):
        builder.recheck(data.recheck_id, status=RecheckStatus.REGRESSED)
    elif isinstance(data, RecheckSkipped):
        builder.recheck(data.recheck_id, status=RecheckStatus.SKIPPED)
        builder.plan(data.prescription_id, [data.planned_next])


def evolve(builder: StretchesBuilder, recorded: RecordedEvent) -> None:
    """Fold one event."""
    if _prescriptions(builder, recorded):
        return
    data = recorded.data
    if isinstance(data, HomeExerciseAssigned):
        builder.home[data.home_exercise_id] = data
    elif isinstance(data, HomeExerciseDiscontinued):
        builder.home.pop(data.home_exercise_id, None)
        builder.discontinued.add(data.home_exercise_id)
    else:
        _rechecks(builder, data)


def freeze(builder: StretchesBuilder) -> StretchesState:
    """The state that decisions see."""
    return StretchesState(
        prescriptions=dict(builder.prescriptions),
        rechecks=dict(builder.rechecks),
        home=dict(builder.home),
        discontinued=frozenset(builder.discontinued),
    )


STRETCHES: Slice[StretchesBuilder, StretchesState] = Slice(
    name="stretches",
    folds=(
        StretchPrescribed,
        StretchStarted,
        StretchDischarged,
        StretchResumed,
        StretchEnded,
        RecheckPutOnCallList,
        RecheckCoveredBySession,
        RecheckMaintained,
        RecheckRegressed,
        RecheckSkipped,
        HomeExerciseAssigned,
        HomeExerciseDiscontinued,
    ),
    initial=StretchesBuilder,
    evolve=evolve,
    freeze=freeze,
)
