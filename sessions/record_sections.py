"""What the record of a client as known on a day shows of their sessions."""

from __future__ import annotations

from typing import Any, Final

import msgspec

from practice.core.appspec import RecordSection
from sessions.calendar.domain.session_state import CalendarState
from sessions.calendar.domain.state import CALENDAR
from sessions.goals.domain.state import TREATMENT_GOALS, goals_of_record
from sessions.incidents.domain.state import INCIDENTS, incidents_of_record
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.notes.domain.co_signatures import CO_SIGNATURES, CoSignatures
from sessions.notes.domain.state import NOTES, NotesState
from sessions.series.domain.state import SERIES, SeriesState
from sessions.stretches.domain.state import STRETCHES, StretchesState
from sessions.waiting_list.domain.state import WAITING, WaitingState


def _sessions_of_record(state: CalendarState) -> Any:
    """The sessions of a record as known on a day, by id; their verdicts stretch by stretch have
    an address of their own."""
    shown = {}
    for key, one in sorted(state.sessions.items()):
        plain = msgspec.to_builtins(one)
        del (
            plain["plan"],
            plain["permissions"]["stretches"],
            plain["permissions"]["stretch_reasons"],
        )
        shown[str(key)] = plain
    return shown


def _waiting_of_record(state: WaitingState) -> Any:
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(state.entries.items())}


def _series_of_record(state: SeriesState) -> Any:
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(state.series.items())}


def _notes_of_record(state: NotesState) -> Any:
    """The notes of a record as known on a day, by the session's id."""
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(state.by_session.items())}


def _co_signatures_of_record(state: CoSignatures) -> Any:
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(state.by_session.items())}


def _measurements_of_record(state: MeasurementsState) -> Any:
    return {
        "readings": msgspec.to_builtins(state.readings),
        "goals": msgspec.to_builtins(list(state.goals.values())),
        "posture": msgspec.to_builtins(state.findings),
        "circumferences": msgspec.to_builtins(state.circumferences),
    }


def _stretches_of_record(state: StretchesState) -> Any:
    return {
        "stretches": msgspec.to_builtins(list(state.prescriptions.values())),
        "rechecks": msgspec.to_builtins(list(state.rechecks.values())),
        "home_exercises": msgspec.to_builtins(list(state.home.values())),
    }


RECORD_SECTIONS: Final = {
    "sessions": RecordSection(CALENDAR, _sessions_of_record),
    "waiting_list": RecordSection(WAITING, _waiting_of_record),
    "session_series": RecordSection(SERIES, _series_of_record),
    "treatment_goals": RecordSection(TREATMENT_GOALS, goals_of_record),
    "incidents": RecordSection(INCIDENTS, incidents_of_record),
    "notes": RecordSection(NOTES, _notes_of_record),
    "co_signatures": RecordSection(CO_SIGNATURES, _co_signatures_of_record),
    "measurements": RecordSection(MEASUREMENTS, _measurements_of_record),
    "stretches": RecordSection(STRETCHES, _stretches_of_record),
}
