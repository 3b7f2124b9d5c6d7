"""What the programme tells of itself where measurements are shown: discharges, answers. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from practice.domain.events import Recorded
from practice.domain.reasons import Audience, Reason
from sessions.domain.motion.followup import Answered, Discharge
from sessions.domain.programme.events import RecheckHeld, RecheckLost, RecheckSkipped
from sessions.domain.programme.state import ProgrammeState, Standing


def standing_discharges(state: ProgrammeState) -> list[Discharge]:
    """The discharges of the stretches that are discharged now."""
    return [
        Discharge(
            prescription_id=key,
            at=one.discharged_at,
            on=one.discharge.discharged_on,
            movements=one.prescribed.movements,
            side=one.prescribed.side,
            readings=tuple(ref.reading_id for ref in one.discharge.references),
            stands=True,
        )
        for key, one in state.prescriptions.items()
        if one.standing is Standing.DISCHARGED
        and one.discharge is not None
        and one.discharged_at is not None
    ]


def answered_rechecks(events: Sequence[Recorded]) -> list[Answered]:
    """The re-checks that a command answered, in order."""
    outcomes = {RecheckHeld: "held", RecheckLost: "lost", RecheckSkipped: "skipped"}
    return [
        Answered(
            recheck_id=one.data.recheck_id,
            prescription_id=one.data.prescription_id,
            outcome=outcomes[type(one.data)],
        )
        for one in events
        if isinstance(one.data, RecheckHeld | RecheckLost | RecheckSkipped)
    ]


def recheck_warnings(events: Sequence[Recorded]) -> list[Reason]:
    """What a lost re-check asks for: the stretch is back; refer where nothing explains it."""
    lost = [one.data for one in events if isinstance(one.data, RecheckLost)]
    reasons = [
        Reason(
            code="range_lost",
            text="Range was lost beyond measurement error: the stretch is on the programme again.",
            source="practice policy",
            audience=Audience.CLINICAL,
        )
        for _ in lost[:1]
    ]
    if any(one.refer for one in lost):
        reasons.append(
            Reason(
                code="refer",
                text="Lost without explanation, with new pain or swelling: refer.",
                source="practice policy",
                audience=Audience.CLINICAL,
            )
        )
    return reasons
