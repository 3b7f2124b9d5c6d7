"""What undoes a slip: a session that stands otherwise than it should is corrected. Pure."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Rejected
from sessions.booking.domain.commands import CancelSession
from sessions.calendar.domain.session_state import Cancellation, SessionState, SessionStatus

CORRECTABLE = (SessionStatus.ARRIVED, SessionStatus.NO_SHOW, SessionStatus.CANCELLED)


def undone_by(session: SessionState) -> str:
    """The way out of a refusal for where a session stands; empty where there is none."""
    if session.status not in CORRECTABLE:
        return ""
    return (
        f" If that is a slip, put it right first: POST /sessions/{session.id}/correction with"
        " `status` `booked`."
    )


def check_same_cancellation(session_id: UUID, stands: Cancellation, command: CancelSession) -> None:
    """Raises Rejected 409 for a cancellation by another or for another cause than what stands."""
    if (stands.by, stands.cause) == (command.by, command.reason.strip()):
        return
    raise Rejected(
        "already_cancelled",
        f"The {stands.by.value} has called it off already, for this cause:"
        f" {stands.cause.rstrip('.')}. If who called it off or the cause is wrong, put it right"
        f" with POST /sessions/{session_id}/correction and say why.",
        extra={
            "by": stands.by.value,
            "cause": stands.cause,
            "notice_minutes": stands.notice_minutes,
        },
    )
