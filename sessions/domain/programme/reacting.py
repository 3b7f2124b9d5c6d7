"""A prescribed stretch that a signed note shows as done has begun. Pure."""

from __future__ import annotations

from typing import Any

from practice.domain.decisions import Context, Decided, Reactor, States
from practice.domain.events import Happened, Recorded
from practice.domain.terms import Mode
from sessions.domain.notes.events import NoteSigned
from sessions.domain.programme.events import StretchStarted
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
