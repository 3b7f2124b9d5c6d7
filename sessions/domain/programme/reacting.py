"""What follows by itself: a stretch that a signed note shows as done has begun; readings taken
since a discharge that is entered late answer its re-checks. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.domain.decisions import Context, Decided, Reactor, States
from practice.domain.events import Happened, Recorded
from practice.domain.terms import Mode
from sessions.domain.motion.state import MOTION
from sessions.domain.notes.events import NoteSigned
from sessions.domain.programme.answering import AnswerFacts, Signs, answer, touched_by_reading
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


def answer_from_later_readings(
    rec: Recorded, states: States, facts: AnswerFacts, ctx: Context
) -> Decided:
    """A discharge that is entered late: readings taken since then answer its re-checks.

    One re-check at a time; each that is held looks for the next.
    """
    if not isinstance(rec.data, StretchDischarged | RecheckHeld):
        return []
    key, motion = rec.data.prescription_id, states[MOTION]
    one = states[PROGRAMME].prescriptions.get(key)
    if one is None or one.standing is not Standing.DISCHARGED or one.discharged_at is None:
        return []
    for reading in motion.readings:
        if reading.at <= one.discharged_at or not touched_by_reading(one, reading):
            continue
        events = answer(
            states[PROGRAMME],
            lambda found: found.prescribed.prescription_id == key,
            reading.at,
            [r for r in motion.readings if r.at <= reading.at],
            [f for f in motion.findings if f.at <= reading.at],
            facts,
            Signs(),
        )
        if events:
            return [Happened(event, reading.at) for event in events]
    return []


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
