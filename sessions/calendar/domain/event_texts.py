"""What happened in the calendar, in one sentence each, for the history of a record."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from clients.permissions.domain.arrival import SIGNS
from clients.permissions.domain.results import HandsOnExtent
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from practice.core.terms import Mode
from sessions.calendar.domain import events
from sessions.calendar.domain.session_state import STATUS_TEXT
from sessions.calendar.domain.terms import PermissionsSnapshot

EVENT_TEXTS = EventTexts("calendar", label="Session", watches=(events,))

MODE_WORDS = {
    Mode.HANDS_ON: "hands-on",
    Mode.SELF_DIRECTED: "self-directed",
    Mode.NOT_TODAY: "not today",
}

STATUS_WORDS = {one.value: text for one, text in STATUS_TEXT.items()} | {"arrived": "attended"}


EXTENT_WORDS = {
    HandsOnExtent.ALL: "all hands-on",
    HandsOnExtent.PART: "part hands-on",
    HandsOnExtent.NOTHING: "nothing hands-on",
}


def _allowed(permissions: PermissionsSnapshot) -> str:
    """How much is by hand; where nothing is, what it is instead."""
    words = EXTENT_WORDS[permissions.extent]
    return (
        words if permissions.mode is Mode.HANDS_ON else f"{words}, {MODE_WORDS[permissions.mode]}"
    )


def _when(event: events.SessionBooked | events.SessionMoved) -> str:
    local = event.starts_at.astimezone(ZoneInfo(event.zone))
    return f"{local:%Y-%m-%d %H:%M} ({event.zone})"


def _overruled(event: events.SessionBooked | events.SessionMoved) -> str:
    if not event.overruled:
        return ""
    return f"The place was closed or the practitioner absent then; all the same: {event.overruled}"


@EVENT_TEXTS.on(events.SessionBooked)
def booked(event: events.SessionBooked, meta: RecordedEvent) -> str:
    entered = "was entered late" if event.late_entry else "was booked"
    kind = f" as “{event.kind.name}”" if event.kind else ""
    booked = f"A session on {_when(event)} {entered}{kind}, {MODE_WORDS[event.planned_mode]}."
    return f"{booked} {_overruled(event)}".strip()


@EVENT_TEXTS.on(events.SessionMoved)
def moved(event: events.SessionMoved, meta: RecordedEvent) -> str:
    where = f"{_when(event)}, {MODE_WORDS[event.planned_mode]}"
    moved = f"A session was moved or planned anew: {where}. {event.reason}"
    return f"{moved} {_overruled(event)}".strip()


@EVENT_TEXTS.on(events.SessionCancelled)
def cancelled(event: events.SessionCancelled, meta: RecordedEvent) -> str:
    hours = event.notice_minutes // 60
    return f"The {event.by} cancelled a session {hours} hours ahead: {event.reason}"


@EVENT_TEXTS.on(events.SessionConfirmed)
def confirmed(event: events.SessionConfirmed, meta: RecordedEvent) -> str:
    return f"The {event.by} confirmed a session ({event.how.replace('_', ' ')})."


@EVENT_TEXTS.on(events.SessionConfirmationTakenBack)
def confirmation_taken_back(event: events.SessionConfirmationTakenBack, meta: RecordedEvent) -> str:
    return f"A session is not confirmed any more. {event.reason}"


@EVENT_TEXTS.on(events.SessionMarkedNoShow)
def marked_no_show(event: events.SessionMarkedNoShow, meta: RecordedEvent) -> str:
    return f"The client did not attend. {event.reason}".strip()


@EVENT_TEXTS.on(events.SessionArrived)
def arrived(event: events.SessionArrived, meta: RecordedEvent) -> str:
    answer = f"hands-on today: {event.answers.hands_on_today}"
    return f"The client arrived ({answer}); what may be done: {_allowed(event.permissions)}."


@EVENT_TEXTS.on(events.SessionOpened)
def opened(event: events.SessionOpened, meta: RecordedEvent) -> str:
    return f"The session was opened: {_allowed(event.permissions)}."


@EVENT_TEXTS.on(events.SessionFlagged)
def flagged(event: events.SessionFlagged, meta: RecordedEvent) -> str:
    left = EXTENT_WORDS[event.extent]
    if event.was is event.now:
        return f"A session narrowed: {left} is left."
    return f"A session narrowed from {MODE_WORDS[event.was]} to {MODE_WORDS[event.now]}: {left}."


@EVENT_TEXTS.on(events.SessionDayFlagEnded)
def day_flag_ended(event: events.SessionDayFlagEnded, meta: RecordedEvent) -> str:
    return "Corrected answers on arrival narrow a session no more."


@EVENT_TEXTS.on(events.SessionFlagEnded)
def flag_ended(event: events.SessionFlagEnded, meta: RecordedEvent) -> str:
    return f"What stood against place or practitioner was put back: {EXTENT_WORDS[event.extent]}."


@EVENT_TEXTS.on(events.SessionStopped)
def stopped(event: events.SessionStopped, meta: RecordedEvent) -> str:
    what = "the session" if event.everything else "touch"
    return f"The client stopped {what} at minute {event.minute}. {event.reason}".strip()


@EVENT_TEXTS.on(events.SessionCompleted)
def completed(event: events.SessionCompleted, meta: RecordedEvent) -> str:
    return "The session is completed."


@EVENT_TEXTS.on(events.SessionCompletionTakenBack)
def completion_taken_back(event: events.SessionCompletionTakenBack, meta: RecordedEvent) -> str:
    return f"The session has no note again: its note was entered in error. {event.reason}"


@EVENT_TEXTS.on(events.RedFlagCleared)
def red_flag_cleared(event: events.RedFlagCleared, meta: RecordedEvent) -> str:
    return f"A red flag ({SIGNS[event.red_flag].lower()}) was cleared. Found: {event.found}"


@EVENT_TEXTS.on(events.ArrivalWordsReviewed)
def words_reviewed(event: events.ArrivalWordsReviewed, meta: RecordedEvent) -> str:
    return f"The client's own words were reviewed. Found: {event.found}"


@EVENT_TEXTS.on(events.SessionStatusCorrected)
def status_corrected(event: events.SessionStatusCorrected, meta: RecordedEvent) -> str:
    was, now = STATUS_WORDS[event.was], STATUS_WORDS[event.now]
    cause = f", by the {event.by}: {event.cause}" if event.by else ""
    return f"A slip was set right: the session was {was} and is {now}{cause}. {event.reason}"


@EVENT_TEXTS.on(events.SessionEnteredInError)
def entered_in_error(event: events.SessionEnteredInError, meta: RecordedEvent) -> str:
    return f"A session ({STATUS_WORDS[event.was]}) was entered in error. {event.reason}"
