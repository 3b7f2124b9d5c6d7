"""What happened in the calendar, in one sentence each, for the history of a record."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from clients.identity.domain.event_texts import event_text
from practice.core.terms import Mode
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionMoved,
    SessionOpened,
    SessionStopped,
)

MODE_WORDS = {
    Mode.HANDS_ON: "hands-on",
    Mode.SELF_DIRECTED: "self-directed",
    Mode.NOT_TODAY: "not today",
}


def _when(event: SessionBooked | SessionMoved) -> str:
    local = event.starts_at.astimezone(ZoneInfo(event.zone))
    return f"{local:%Y-%m-%d %H:%M} ({event.zone})"


@event_text(SessionBooked)
def _booked(event: SessionBooked) -> str:
    entered = "was entered late" if event.late_entry else "was booked"
    return f"A session on {_when(event)} {entered}, {MODE_WORDS[event.planned_mode]}."


@event_text(SessionMoved)
def _moved(event: SessionMoved) -> str:
    where = f"{_when(event)}, {MODE_WORDS[event.planned_mode]}"
    return f"A session was moved or planned anew: {where}. {event.reason}"


@event_text(SessionCancelled)
def _cancelled(event: SessionCancelled) -> str:
    hours = event.notice_minutes // 60
    return f"The {event.by} cancelled a session {hours} hours ahead: {event.reason}"


@event_text(SessionMarkedNoShow)
def _marked_no_show(event: SessionMarkedNoShow) -> str:
    return f"The client did not attend. {event.reason}".strip()


@event_text(SessionArrived)
def _arrived(event: SessionArrived) -> str:
    answer = f"hands-on today: {event.answers.hands_on_today}"
    return f"The client arrived ({answer}); what may be done: {MODE_WORDS[event.permissions.mode]}."


@event_text(SessionOpened)
def _opened(event: SessionOpened) -> str:
    return f"The session was opened: {MODE_WORDS[event.permissions.mode]}."


@event_text(SessionFlagged)
def _flagged(event: SessionFlagged) -> str:
    return f"A booked session narrowed from {MODE_WORDS[event.was]} to {MODE_WORDS[event.now]}."


@event_text(SessionStopped)
def _stopped(event: SessionStopped) -> str:
    what = "the session" if event.everything else "touch"
    return f"The client stopped {what} at minute {event.minute}. {event.reason}".strip()


@event_text(SessionCompleted)
def _completed(event: SessionCompleted) -> str:
    return "The session is completed."
