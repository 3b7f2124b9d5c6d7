"""What follows by itself: a stretch that a signed note shows as done has begun; what is
measured answers re-checks; a home exercise that narrowed is taken back. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.domain.decisions import Context, Decided, Reactor, States
from practice.domain.events import Happened, Recorded
from practice.domain.terms import Mode
from sessions.domain.motion.events import PostureFound, ReadingRecorded
from sessions.domain.motion.state import MOTION
from sessions.domain.notes.events import NoteSigned
from sessions.domain.programme.answering import (
    NO_SIGNS,
    AnswerFacts,
    Measured,
    Signs,
    answer,
    touches,
)
from sessions.domain.programme.events import (
    HomeExerciseTakenBack,
    RecheckHeld,
    StretchDischarged,
    StretchStarted,
)
from sessions.domain.programme.state import PROGRAMME, Standing


def start_what_was_done(rec: Recorded, states: States, facts: Any, ctx: Context) -> Decided:
    """Starts every prescribed stretch among the note's lines, at the session's begin."""
    if not isinstance(rec.data, NoteSigned):
        return []
    note = rec.data
    done = {(line.stretch, line.side) for line in note.lines if line.mode is not Mode.NOT_TODAY}
    return [
        Happened(
            StretchStarted(prescription_id=key, session_id=note.session_id),
            max(note.started_at, one.prescribed_at),
        )
        for key, one in states[PROGRAMME].prescriptions.items()
        if one.standing is Standing.PRESCRIBED
        and (one.prescribed.stretch, one.prescribed.side) in done
    ]


START_WHAT_WAS_DONE = Reactor(
    name="start what was done", on=(NoteSigned,), slices=(PROGRAMME,), react=start_what_was_done
)


def answer_rechecks(rec: Recorded, states: States, facts: AnswerFacts, ctx: Context) -> Decided:
    """A reading or posture finding answers the open re-checks that it does, of every stretch.

    A discharge that is entered late is answered by what was measured since; so is, after a
    re-check that was held, the next one of its stretch.
    """
    programme, motion = states[PROGRAMME], states[MOTION]
    match rec.data:
        case StretchDischarged() | RecheckHeld() as event:
            return answer(programme, event.prescription_id, motion, facts)
        case ReadingRecorded() as event:
            measured: Measured | None = motion.reading(event.reading_id)
            signs = Signs(event.new_pain, event.new_swelling, event.explanation)
        case PostureFound() as event:
            measured, signs = motion.posture(event.finding_id), NO_SIGNS
        case _:
            return []
    if measured is None:
        return []
    return [
        one
        for key, prescription in programme.prescriptions.items()
        if touches(prescription, measured)
        for one in answer(programme, key, motion, facts, since=measured.at, signs=signs)
    ]


Narrowed = dict[UUID, str]
"""Home exercises that may not be done any more, with the reason."""


def take_back_what_narrowed(
    rec: Recorded, states: States, narrowed: Narrowed, ctx: Context
) -> Decided:
    """Takes back every home exercise that may not be done any more."""
    return [
        HomeExerciseTakenBack(home_exercise_id=key, reason=reason)
        for key, reason in narrowed.items()
        if key in states[PROGRAMME].home
    ]
