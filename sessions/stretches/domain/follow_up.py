"""What stretches tell of themselves where measurements are shown: discharges, answers. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from clients.health.domain.wording import words_text
from practice.core.events import RecordedEvent
from practice.core.reasons import Audience, Reason
from sessions.measurements.domain.comparison import ChangeLabel, ComparableReading, reading_kind
from sessions.measurements.domain.follow_up import Answered, Discharge, Loss
from sessions.measurements.domain.ranges import movement_words
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState
from sessions.stretches.domain.events import (
    RecheckMaintained,
    RecheckRegressed,
    RecheckSkipped,
    Reference,
)
from sessions.stretches.domain.prescription_state import PrescriptionState, StretchStatus
from sessions.stretches.domain.recheck_evaluation import evaluate_reading, reference_kind
from sessions.stretches.domain.state import StretchesState


def last_discharges(state: StretchesState) -> list[Discharge]:
    """The last discharge of every stretch, with when it ended where it stands no longer."""
    return [
        Discharge(
            prescription_id=key,
            occurred_at=last.discharged_at,
            on=last.discharge.discharged_on,
            movements=one.prescribed.movements,
            side=one.prescribed.side,
            readings=tuple(ref.reading_id for ref in last.discharge.references),
            until=one.active_since if one.before_resumption else one.ended_at,
        )
        for key, one in state.prescriptions.items()
        if (last := one.last_discharged).discharge is not None and last.discharged_at is not None
    ]


def losses_since_discharge(
    state: StretchesState, motion: MeasurementsState, settings: MeasurementSettings
) -> list[Loss]:
    """Where the latest active reading like a standing discharge's has lost against it.

    One that was lost at a re-check is not among them: that brought the stretch back.
    """
    return [
        Loss(
            prescription_id=key,
            stretch=one.prescribed.stretch,
            name=one.prescribed.name,
            reading_id=latest.reading_id,
            movement=reference.movement,
            side=reference.side,
            reference=reference.degrees,
            degrees=latest.degrees,
            change=found.change,
            threshold=found.threshold,
        )
        for key, one in state.prescriptions.items()
        if one.status is StretchStatus.DISCHARGED and one.discharge and one.discharged_at
        for reference in one.discharge.references
        if reference.reading_id not in motion.removed
        if (latest := _latest_active_like(reference, motion, one.discharged_at)) is not None
        and (found := evaluate_reading(reference, latest, settings)) is not None
        and found.label == ChangeLabel.REGRESSED
    ]


def discharges_on_errors(state: StretchesState, motion: MeasurementsState) -> list[Reason]:
    """A prompt for each discharge that stands and rests on what was entered in error since."""
    prompts = (error_prompt(one, motion) for one in state.prescriptions.values())
    return [prompt for prompt in prompts if prompt is not None]


def error_prompt(one: PrescriptionState, motion: MeasurementsState) -> Reason | None:
    """What a practitioner is asked where a discharge rests on something entered in error; nothing
    resumes by itself (ruling 54)."""
    discharge = one.discharge
    if one.status is not StretchStatus.DISCHARGED or discharge is None:
        return None
    rested_on = {
        **{
            ref.reading_id: f"{movement_words(ref.movement)} {ref.degrees}°"
            for ref in discharge.references
        },
        **{ref.finding_id: words_text([ref.finding]) for ref in discharge.postures},
        discharge.pain_reading_id: f"pain {discharge.pain}",
    }
    void = [text for key, text in rested_on.items() if key in motion.removed]
    if not void:
        return None
    prescribed = one.prescribed
    return Reason(
        code="discharge_rests_on_error",
        text=f"{prescribed.name}, {prescribed.side.value}: discharged on "
        f"{discharge.discharged_on.isoformat()} by what was entered in error since "
        f"({', '.join(void)}). Look again and bring the stretch back if need be; until then its "
        "re-checks are not held by themselves.",
        source="practice policy",
        audience=Audience.CLINICAL,
    )


def _latest_active_like(
    reference: Reference, motion: MeasurementsState, since: datetime
) -> ComparableReading | None:
    """The latest reading like the discharge reading, which is active and unassisted."""
    alike = [
        one
        for one in motion.readings
        if one.occurred_at > since and reading_kind(one) == reference_kind(reference)
    ]
    return alike[-1] if alike else None


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
