"""What was measured in a session entered in error is entered in error with it. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided, Reactor, States
from practice.core.events import Event, RecordedEvent
from sessions.calendar.domain.events import SessionEnteredInError
from sessions.measurements.domain.events import (
    CircumferencesEnteredInError,
    PostureEnteredInError,
    ReadingEnteredInError,
)
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState


def enter_measurements_in_error(
    rec: RecordedEvent, states: States, facts: Any, ctx: Context
) -> Decided:
    """Readings, posture findings and circumferences that name the session, with its reason."""
    if not isinstance(rec.data, SessionEnteredInError):
        return []
    return measured_in_error(states[MEASUREMENTS], rec.data.session_id, rec.data.reason)


def measured_in_error(motion: MeasurementsState, session_id: UUID, reason: str) -> list[Event]:
    """Everything that names a session, entered in error for a reason."""
    return [
        *(
            ReadingEnteredInError(reading_id=one.reading_id, reason=reason)
            for one in motion.readings
            if one.session_id == session_id
        ),
        *(
            PostureEnteredInError(finding_id=one.found.finding_id, reason=reason)
            for one in motion.findings
            if one.found.session_id == session_id
        ),
        *(
            CircumferencesEnteredInError(
                circumferences_id=one.measured.circumferences_id, reason=reason
            )
            for one in motion.circumferences
            if one.measured.session_id == session_id
        ),
    ]


ENTER_MEASUREMENTS_IN_ERROR = Reactor(
    name="enter what was measured in a session in error",
    on=(SessionEnteredInError,),
    slices=(MEASUREMENTS,),
    react=enter_measurements_in_error,
)
