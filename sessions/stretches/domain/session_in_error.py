"""What a session or a note entered in error brought to the stretches is taken back (ruling 54).
Pure.

Where something later rests on a start, a decision of a person, it stands and a person is asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided, Reactor, States
from practice.core.events import DatedEvent, RecordedEvent
from practice.core.reasons import Audience, Reason
from practice.core.terms import Mode
from sessions.calendar.domain.events import SessionEnteredInError
from sessions.notes.domain.events import NoteEnteredInError, NoteLine
from sessions.notes.domain.state import NOTES, NotesState
from sessions.stretches.domain.events import (
    RestsOnStart,
    StretchStarted,
    StretchStartEnteredInError,
)
from sessions.stretches.domain.home_exercise_events import HomeExerciseDiscontinued
from sessions.stretches.domain.prescription_state import PrescriptionState, StretchStatus
from sessions.stretches.domain.state import STRETCHES, StretchesState

_InError = SessionEnteredInError | NoteEnteredInError


def shows_done(lines: Iterable[NoteLine], one: PrescriptionState) -> bool:
    """Whether the prescribed stretch is among what a note shows as done."""
    done = {(line.stretch, line.side) for line in lines if line.mode is not Mode.NOT_TODAY}
    return (one.prescribed.stretch, one.prescribed.side) in done


def take_back_session(rec: RecordedEvent, states: States, facts: Any, ctx: Context) -> Decided:
    """The starts by a session entered in error, and the home exercises assigned in it. Where its
    note alone was, the starts by it: what was assigned in the session stands with it."""
    if not isinstance(rec.data, SessionEnteredInError | NoteEnteredInError):
        return []
    programme, event = states[STRETCHES], rec.data
    alone = isinstance(event, NoteEnteredInError)
    if isinstance(event, NoteEnteredInError) and not event.session_stands:
        return []
    starts = [
        made
        for key, one in programme.prescriptions.items()
        if one.started_in == event.session_id
        for made in _take_back_start(key, one, event, states[NOTES])
    ]
    return starts if alone else [*starts, *_discontinued(programme, event)]


def _take_back_start(
    key: UUID, one: PrescriptionState, event: _InError, notes: NotesState
) -> list[StretchStartEnteredInError | DatedEvent]:
    """The start is taken back; where another note shows the stretch as done, it started then."""
    taken = StretchStartEnteredInError(
        prescription_id=key,
        session_id=event.session_id,
        reason=event.reason,
        rests_on=_rests_on_start(one),
    )
    others = [
        note
        for note in notes.by_session.values()
        if note.session_id != event.session_id and shows_done(note.lines, one)
    ]
    first = min(others, key=lambda note: (note.started_at, note.note_id), default=None)
    if first is None or taken.rests_on is not None:
        return [taken]
    again = StretchStarted(prescription_id=key, session_id=first.session_id)
    return [taken, DatedEvent(again, max(first.started_at, one.prescribed_at))]


def _rests_on_start(one: PrescriptionState) -> RestsOnStart | None:
    if one.status is StretchStatus.ENDED:
        return RestsOnStart.END
    return RestsOnStart.DISCHARGE if one.last_discharged.discharge is not None else None


def _discontinued(programme: StretchesState, event: _InError) -> list[HomeExerciseDiscontinued]:
    return [
        HomeExerciseDiscontinued(home_exercise_id=key, reason=event.reason)
        for key, one in programme.home.items()
        if one.session_id == event.session_id
    ]


TAKE_BACK_SESSION = Reactor(
    name="take back what a session or a note entered in error brought",
    on=(SessionEnteredInError, NoteEnteredInError),
    slices=(STRETCHES, NOTES),
    react=take_back_session,
)


def start_prompt(one: PrescriptionState) -> Reason | None:
    """Asks a person, where the start was by a session entered in error and yet stands."""
    if not one.start_in_error or one.status in (StretchStatus.PRESCRIBED, StretchStatus.ENDED):
        return None
    return _start_reason(one.prescribed.name)


def start_warnings(events: Iterable[RecordedEvent]) -> list[Reason]:
    """What a command leaves to a person, of starts by a session that it entered in error."""
    stands = [
        one.data
        for one in events
        if isinstance(one.data, StretchStartEnteredInError) and one.data.rests_on is not None
    ]
    return [_start_reason("A stretch")] if stands else []


def _start_reason(what: str) -> Reason:
    return Reason(
        code="start_entered_in_error",
        text=f"{what} was started by a session or note that was entered in error, and what came"
        " later rests on that start: look whether it stands. Resume or end it, with the reason.",
        source="practice policy",
        audience=Audience.CLINICAL,
    )
