"""What undoes a slip: a session that stands otherwise than it should is corrected. Pure."""

from __future__ import annotations

from sessions.calendar.domain.session_state import SessionState, SessionStatus

CORRECTABLE = (SessionStatus.ARRIVED, SessionStatus.NO_SHOW, SessionStatus.CANCELLED)


def undone_by(session: SessionState) -> str:
    """The way out of a refusal for where a session stands; empty where there is none."""
    if session.status not in CORRECTABLE:
        return ""
    return (
        f" If that is a slip, put it right first: POST /sessions/{session.id}/correction with"
        " `status` `booked`."
    )
