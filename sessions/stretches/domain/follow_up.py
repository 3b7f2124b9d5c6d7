"""What stretches tell of themselves where measurements are shown: discharges, answers. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from practice.core.events import RecordedEvent
from practice.core.reasons import Audience, Reason
from sessions.measurements.domain.follow_up import Answered, Discharge
from sessions.stretches.domain.events import RecheckMaintained, RecheckRegressed, RecheckSkipped
from sessions.stretches.domain.state import StretchesState, StretchStatus


def standing_discharges(state: StretchesState) -> list[Discharge]:
    """The discharges of the stretches that are discharged now."""
    return [
        Discharge(
            prescription_id=key,
            occurred_at=one.discharged_at,
            on=one.discharge.discharged_on,
            movements=one.prescribed.movements,
            side=one.prescribed.side,
            readings=tuple(ref.reading_id for ref in one.discharge.references),
            stands=True,
        )
        for key, one in state.prescriptions.items()
        if one.status is StretchStatus.DISCHARGED
        and one.discharge is not None
        and one.discharged_at is not None
    ]


def answered_rechecks(events: Sequence[RecordedEvent]) -> list[Answered]:
    """The re-checks that a command answered, in order."""
    outcomes = {
        RecheckMaintained: "maintained",
        RecheckRegressed: "regressed",
        RecheckSkipped: "skipped",
    }
    return [
        Answered(
            recheck_id=one.data.recheck_id,
            prescription_id=one.data.prescription_id,
            outcome=outcomes[type(one.data)],
        )
        for one in events
        if isinstance(one.data, RecheckMaintained | RecheckRegressed | RecheckSkipped)
    ]


def recheck_warnings(events: Sequence[RecordedEvent]) -> list[Reason]:
    """What a lost re-check asks for: the stretch is back; refer where nothing explains it."""
    regressed = [one.data for one in events if isinstance(one.data, RecheckRegressed)]
    reasons = [
        Reason(
            code="range_regressed",
            text="Range regressed beyond measurement error: the stretch was resumed.",
            source="practice policy",
            audience=Audience.CLINICAL,
        )
        for _ in regressed[:1]
    ]
    if any(one.refer for one in regressed):
        reasons.append(
            Reason(
                code="refer",
                text="Regressed without explanation, with new pain or swelling: refer.",
                source="practice policy",
                audience=Audience.CLINICAL,
            )
        )
    return reasons
