"""The stretches slice: prescriptions, their re-checks, home exercises."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from sessions.stretches.domain import events, home_exercise_events
from sessions.stretches.domain.home_exercise_events import (
    HomeExerciseAssigned,
    HomeExerciseDiscontinued,
)
from sessions.stretches.domain.prescription_state import (
    PrescriptionState,
    RecheckState,
    RecheckStatus,
    StretchStatus,
)


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

    def plan(self, prescription_id: UUID, planned: Iterable[events.PlannedRecheck | None]) -> None:
        """Add planned re-checks of the discharge that stands."""
        known = self.prescriptions.get(prescription_id)
        for one in planned:
            if one is not None:
                self.rechecks[one.recheck_id] = RecheckState(
                    prescription_id=prescription_id,
                    planned=one,
                    discharged_at=known.discharged_at if known else None,
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


def _freeze(builder: StretchesBuilder) -> StretchesState:
    return StretchesState(
        prescriptions=dict(builder.prescriptions),
        rechecks=dict(builder.rechecks),
        home=dict(builder.home),
        discontinued=frozenset(builder.discontinued),
    )


STRETCHES: Slice[StretchesBuilder, StretchesState] = Slice(
    "stretches",
    initial=StretchesBuilder,
    freeze=_freeze,
    watches=(events, home_exercise_events),
)


@STRETCHES.on(events.StretchPrescribed)
def prescribed(
    builder: StretchesBuilder, event: events.StretchPrescribed, meta: RecordedEvent
) -> None:
    builder.prescriptions[event.prescription_id] = PrescriptionState(
        prescribed=event, prescribed_at=meta.occurred_at
    )


@STRETCHES.on(events.StretchStarted)
def started(builder: StretchesBuilder, event: events.StretchStarted, meta: RecordedEvent) -> None:
    at = meta.occurred_at
    builder.prescription(
        event.prescription_id,
        status=StretchStatus.ACTIVE,
        started_at=at,
        started_in=event.session_id,
        active_since=at,
        start_in_error="",
    )


@STRETCHES.on(events.StretchStartEnteredInError)
def start_entered_in_error(
    builder: StretchesBuilder, event: events.StretchStartEnteredInError, meta: RecordedEvent
) -> None:
    builder.prescription(event.prescription_id, start_in_error=event.reason)
    if event.rests_on is None:
        builder.prescription(
            event.prescription_id,
            status=StretchStatus.PRESCRIBED,
            started_at=None,
            started_in=None,
            active_since=None,
        )


@STRETCHES.on(events.StretchDischarged)
def discharged(
    builder: StretchesBuilder, event: events.StretchDischarged, meta: RecordedEvent
) -> None:
    builder.prescription(
        event.prescription_id,
        status=StretchStatus.DISCHARGED,
        discharge=event,
        discharged_at=meta.occurred_at,
        resumption=None,
        before_resumption=None,
        start_in_error="",
    )
    builder.plan(event.prescription_id, event.planned)


@STRETCHES.on(events.StretchResumed)
def resumed(builder: StretchesBuilder, event: events.StretchResumed, meta: RecordedEvent) -> None:
    before = builder.prescriptions.get(event.prescription_id)
    builder.prescription(
        event.prescription_id,
        status=StretchStatus.ACTIVE,
        discharge=None,
        discharged_at=None,
        active_since=meta.occurred_at,
        resumed=before.resumed + 1 if before else 1,
        resumption=event,
        before_resumption=before,
    )
    builder.cancel(event.cancelled)


@STRETCHES.on(events.StretchEnded)
def ended(builder: StretchesBuilder, event: events.StretchEnded, meta: RecordedEvent) -> None:
    builder.prescription(
        event.prescription_id, status=StretchStatus.ENDED, ended_at=meta.occurred_at
    )
    builder.cancel(event.cancelled)


@STRETCHES.on(events.RecheckPutOnCallList)
def recheck_put_on_call_list(
    builder: StretchesBuilder, event: events.RecheckPutOnCallList, meta: RecordedEvent
) -> None:
    builder.recheck(event.recheck_id, status=RecheckStatus.ON_CALL_LIST, on_call_list=True)


@STRETCHES.on(events.RecheckCoveredBySession)
def recheck_covered_by_session(
    builder: StretchesBuilder, event: events.RecheckCoveredBySession, meta: RecordedEvent
) -> None:
    builder.recheck(
        event.recheck_id,
        covered_by_session_id=event.session_id,
        next_review_at=event.next_review_at,
    )


@STRETCHES.on(events.RecheckMaintained)
def recheck_maintained(
    builder: StretchesBuilder, event: events.RecheckMaintained, meta: RecordedEvent
) -> None:
    builder.recheck(
        event.recheck_id,
        status=RecheckStatus.MAINTAINED,
        measured=events.measured_at(event),
        planned_next=event.planned_next.recheck_id if event.planned_next else None,
    )
    builder.plan(event.prescription_id, [event.planned_next])


@STRETCHES.on(events.RecheckRegressed)
def recheck_regressed(
    builder: StretchesBuilder, event: events.RecheckRegressed, meta: RecordedEvent
) -> None:
    builder.recheck(
        event.recheck_id, status=RecheckStatus.REGRESSED, measured=events.measured_at(event)
    )


@STRETCHES.on(events.RecheckReopened)
def recheck_reopened(
    builder: StretchesBuilder, event: events.RecheckReopened, meta: RecordedEvent
) -> None:
    prescription = builder.prescriptions.get(event.prescription_id)
    if event.discharge_stands_again and prescription and prescription.before_resumption:
        builder.prescriptions[event.prescription_id] = prescription.before_resumption
    for one in event.reopened:
        known = builder.rechecks.get(one.recheck_id)
        called = known is not None and known.on_call_list
        status = RecheckStatus.ON_CALL_LIST if called else RecheckStatus.PLANNED
        builder.recheck(
            one.recheck_id, status=status, measured=frozenset(), planned_next=None, passed_with=None
        )
    builder.cancel(event.withdrawn)


@STRETCHES.on(events.RecheckSkipped)
def recheck_skipped(
    builder: StretchesBuilder, event: events.RecheckSkipped, meta: RecordedEvent
) -> None:
    builder.recheck(event.recheck_id, status=RecheckStatus.SKIPPED, passed_with=event.passed_with)
    builder.plan(event.prescription_id, [event.planned_next])


@STRETCHES.on(HomeExerciseAssigned)
def home_exercise_assigned(
    builder: StretchesBuilder, event: HomeExerciseAssigned, meta: RecordedEvent
) -> None:
    builder.home[event.home_exercise_id] = event


@STRETCHES.on(HomeExerciseDiscontinued)
def home_exercise_discontinued(
    builder: StretchesBuilder,
    event: HomeExerciseDiscontinued,
    meta: RecordedEvent,
) -> None:
    builder.home.pop(event.home_exercise_id, None)
    builder.discontinued.add(event.home_exercise_id)
