"""What follows by itself: a stretch that a note shows as done has begun; what is measured
answers re-checks; a home exercise that narrowed is discontinued. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided, Reactor, States
from practice.core.events import DatedEvent, RecordedEvent
from sessions.measurements.domain.events import (
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.notes.domain.events import AddendumAdded, NoteSigned
from sessions.notes.domain.state import NOTES
from sessions.stretches.domain.events import (
    RecheckMaintained,
    RecheckReopened,
    StretchDischarged,
    StretchStarted,
)
from sessions.stretches.domain.home_exercise_events import HomeExerciseDiscontinued
from sessions.stretches.domain.prescription_state import StretchStatus
from sessions.stretches.domain.recheck_answers import (
    NO_SIGNS,
    Measured,
    NewSigns,
    RecheckAnswerFacts,
    answers_for_stretch,
    touches,
)
from sessions.stretches.domain.recheck_reopening import take_back
from sessions.stretches.domain.session_in_error import shows_done
from sessions.stretches.domain.state import STRETCHES


def start_performed_stretches(
    rec: RecordedEvent, states: States, facts: Any, ctx: Context
) -> Decided:
    """Starts every prescribed stretch among the lines of a note that was signed, or among those
    sent late with an addendum, at the session's begin."""
    match rec.data:
        case NoteSigned() as event:
            lines = event.lines
        case AddendumAdded() as event if event.late is not None:
            lines = event.late.lines
        case _:
            return []
    note = states[NOTES].of(event.session_id)
    return [
        DatedEvent(
            StretchStarted(prescription_id=key, session_id=note.session_id),
            max(note.started_at, one.prescribed_at),
        )
        for key, one in states[STRETCHES].prescriptions.items()
        if one.status is StretchStatus.PRESCRIBED and shows_done(lines, one)
    ]


START_PERFORMED_STRETCHES = Reactor(
    name="start prescribed stretches",
    on=(NoteSigned, AddendumAdded),
    slices=(STRETCHES, NOTES),
    react=start_performed_stretches,
)


def answer_rechecks(
    rec: RecordedEvent, states: States, facts: RecheckAnswerFacts, ctx: Context
) -> Decided:
    """A reading or posture finding answers the open re-checks that it does, of every stretch.

    A discharge that is entered late is answered by what was measured since; so is, after a
    re-check that was held, the next one of its stretch, and a re-check that is open again. One
    entered in error takes back what it decided.
    """
    programme, motion = states[STRETCHES], states[MEASUREMENTS]
    match rec.data:
        case ReadingEnteredInError() as event:
            return take_back(programme, event.reading_id, event.reason)
        case PostureEnteredInError() as event:
            return take_back(programme, event.finding_id, event.reason)
        case StretchDischarged() | RecheckMaintained() | RecheckReopened() as event:
            return answers_for_stretch(programme, event.prescription_id, motion, facts)
        case ReadingRecorded() as event:
            measured: Measured | None = motion.reading(event.reading_id)
            signs = NewSigns(event.new_pain, event.new_swelling, event.explanation)
        case PostureRecorded() as event:
            measured, signs = motion.posture(event.finding_id), NO_SIGNS
        case _:
            return []
    if measured is None:
        return []
    return [
        one
        for key, prescription in programme.prescriptions.items()
        if touches(prescription, measured)
        for one in answers_for_stretch(
            programme, key, motion, facts, since=measured.occurred_at, signs=signs
        )
    ]


NarrowedHomeExercises = dict[UUID, str]
"""Home exercises that may not be done any more, with the reason."""


def discontinue_narrowed_home_exercises(
    rec: RecordedEvent, states: States, narrowed: NarrowedHomeExercises, ctx: Context
) -> Decided:
    """Discontinues every home exercise that may not be done any more."""
    return [
        HomeExerciseDiscontinued(home_exercise_id=key, reason=reason)
        for key, reason in narrowed.items()
        if key in states[STRETCHES].home
    ]
