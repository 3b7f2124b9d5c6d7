"""Signed notes that tests of what follows a signature start from."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from practice.core.terms import Credential, SessionPart
from sessions.notes.domain.events import NotePartMinutes, NoteSigned
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NOTES, NotesState
from tests.dsl import NOW, given
from tests.sessions.booking.examples import FACILITY, PRACTITIONER_ID, SESSION, ZONE

NOTE = UUID(int=601)
START = NOW - timedelta(hours=3)
SETTINGS = NoteSettings(
    required_texts=("subjective", "objective", "assessment", "plan"),
    longest_attended_minutes=480,
    most_repetitions=200,
    longest_hold_seconds=600,
    unsigned_after_hours=48,
)


def parts(**minutes: int) -> tuple[NotePartMinutes, ...]:
    """Minutes by the name of their part."""
    return tuple(
        NotePartMinutes(part=SessionPart(name), minutes=value) for name, value in minutes.items()
    )


def signed_note(**changes: Any) -> NoteSigned:
    """Forty minutes of stretching, ten of cardio, ten not counted, in an hour booked as such."""
    values: dict[str, Any] = {
        "note_id": NOTE,
        "session_id": SESSION,
        "practitioner_id": PRACTITIONER_ID,
        "credential": Credential.PHYSICAL_THERAPIST,
        "facility_id": FACILITY,
        "started_at": START,
        "ended_at": START + timedelta(minutes=60),
        "booked_minutes": 60,
        "zone": ZONE,
        "local_date": START.date(),
        "subjective": "",
        "objective": "",
        "assessment": "",
        "plan": "",
        "minutes": parts(stretching=40, cardio=10),
        "not_counted_minutes": 10,
        "attended_minutes": 60,
    }
    return NoteSigned(**{**values, **changes})


def notes_of(*events: Any) -> NotesState:
    """The notes slice that some events fold to."""
    state: NotesState = given(NOTES, *events).state
    return state


def at(minute: int) -> datetime:
    """A minute counted from the start of the signed note."""
    return START + timedelta(minutes=minute)
