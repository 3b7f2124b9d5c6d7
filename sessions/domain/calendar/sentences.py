"""What happened in the calendar, in one sentence each, for the history of a record."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from clients.domain.sentences import says
from practice.domain.terms import Mode
from sessions.domain.calendar.events import (
    SessionAbsent,
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMoved,
    SessionOpened,
    SessionStopped,
)

WORDS = {
    Mode.HANDS_ON: "hands-on",
    Mode.SELF_DIRECTED: "self-directed",
    Mode.NOT_TODAY: "not today",
}


def _when(event: SessionBooked | SessionMoved) -> str:
    local = event.starts_at.astimezone(ZoneInfo(event.zone))
    return f"{local:%Y-%m-%d %H:%M} ({event.zone})"


@says(SessionBooked)
def _booked(event: SessionBooked) -> str:
    entered = "was entered late" if event.late else "was booked"
    return f"A session on {_when(event)} {entered}, {WORDS[event.planned_mode]}."


@says(SessionMoved)
def _moved(event: SessionMoved) -> str:
    where = f"{_when(event)}, {WORDS[event.planned_mode]}"
    return f"A session was moved or planned anew: {where}. {event.reason}"


@says(SessionCancelled)
def _cancelled(event: SessionCancelled) -> str:
    hours = event.notice_minutes // 60
    return f"The {event.by} called a session off {hours} hours ahead: {event.reason}"


@says(SessionAbsent)
def _absent(event: SessionAbsent) -> str:
    return f"She did not come. {event.reason}".strip()


@says(SessionArrived)
def _arrived(event: SessionArrived) -> str:
    answer = f"hands-on today: {event.answers.hands_on_today}"
    return f"She came ({answer}); what may be done: {WORDS[event.judgement.mode]}."


@says(SessionOpened)
def _opened(event: SessionOpened) -> str:
    return f"The session was opened: {WORDS[event.judgement.mode]}."


@says(SessionFlagged)
def _flagged(event: SessionFlagged) -> str:
    return f"A booked session narrowed from {WORDS[event.was]} to {WORDS[event.now]}."


@says(SessionStopped)
def _stopped(event: SessionStopped) -> str:
    what = "the session" if event.everything else "touch"
    return f"She stopped {what} at minute {event.minute}. {event.reason}".strip()


@says(SessionCompleted)
def _completed(event: SessionCompleted) -> str:
    return "The session is completed."
