"""A reading or posture finding entered in error takes back what it decided. Pure.

Only what still stands is taken back: where the stretch was discharged again or ended since, or
was resumed by something else, that decision of a person stays.
"""

from __future__ import annotations

from uuid import UUID

from sessions.stretches.domain.events import RecheckReopened
from sessions.stretches.domain.prescription_state import (
    PrescriptionState,
    RecheckState,
    StretchStatus,
)
from sessions.stretches.domain.state import StretchesState


def take_back(state: StretchesState, measurement_id: UUID, reason: str) -> list[RecheckReopened]:
    """Of every stretch whose re-check rests on that measurement: what is open again."""
    found = (
        _take_back_of_stretch(state, key, one, measurement_id, reason)
        for key, one in state.prescriptions.items()
    )
    return [event for event in found if event is not None]


def _take_back_of_stretch(
    state: StretchesState, key: UUID, one: PrescriptionState, measurement_id: UUID, reason: str
) -> RecheckReopened | None:
    of_discharge = {
        recheck_id: recheck
        for recheck_id, recheck in state.rechecks.items()
        if recheck.prescription_id == key
        and recheck.discharged_at == one.last_discharged.discharged_at
    }
    decided = {
        recheck_id: recheck
        for recheck_id, recheck in of_discharge.items()
        if measurement_id in recheck.measured
    }
    resumption = one.resumption
    resumed_by_it = (
        resumption is not None
        and resumption.recheck_id in decided
        and one.status is StretchStatus.ACTIVE
    )
    if not decided or not (resumed_by_it or one.status is StretchStatus.DISCHARGED):
        return None
    fallen = resumption.cancelled if resumption is not None and resumed_by_it else ()
    reopened = [
        recheck
        for recheck_id, recheck in of_discharge.items()
        if recheck_id in decided or recheck.passed_with in decided or recheck_id in fallen
    ]
    # What a re-check that is taken back had planned next is planned again when it is held.
    planned_by_it = {recheck.planned_next for recheck in decided.values()}
    waiting = [r for r in of_discharge.values() if r.is_open]
    withdrawn = [r for r in waiting if r.planned.recheck_id in planned_by_it]
    return RecheckReopened(
        prescription_id=key,
        measurement_id=measurement_id,
        reason=reason,
        reopened=tuple(r.planned for r in _by_due_day(reopened)),
        withdrawn=tuple(r.planned.recheck_id for r in withdrawn),
        discharge_stands_again=resumed_by_it,
        active_since=one.last_discharged.active_since if resumed_by_it else None,
    )


def _by_due_day(rechecks: list[RecheckState]) -> list[RecheckState]:
    return sorted(rechecks, key=lambda r: (r.planned.due_on, r.planned.months))
