"""Whether a note's time is shared with another session of its people."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from sessions.calendar.domain.overlaps import overlap_warnings
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.selectors.overlaps import sessions_near, taken_times
from sessions.notes.domain.events import SessionTimes
from sessions.notes.selectors.notes import notes_standing


def note_overlap_warnings(
    client_id: UUID, session: SessionState, times: SessionTimes
) -> list[Reason]:
    """A warning for each other session, signed ones as they took place, that shares time."""
    begin, end = times.started_at, times.ended_at
    near = sessions_near(client_id, session.practitioner_id, session.id, begin, end)
    signed = notes_standing().filter(session_id__in=[row.pk for row in near])
    took_place = {
        row[0]: (row[1], row[2])
        for row in signed.values_list("session_id", "current_started_at", "current_ended_at")
    }
    return overlap_warnings(begin, end, session.zone, taken_times(near, client_id, took_place))
