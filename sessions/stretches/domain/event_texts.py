"""Sentences of the history: the stretches, re-checks, home exercises."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.measurements.domain.ranges import movement_words
from sessions.stretches.domain import events, home_exercise_events

EVENT_TEXTS = EventTexts("stretches", label="Stretches", watches=(events, home_exercise_events))


@EVENT_TEXTS.on(events.StretchPrescribed)
def prescribed(event: events.StretchPrescribed, meta: RecordedEvent) -> str:
    return f"Prescribed: {event.name}, {event.side}, {words_text(event.techniques)}."


@EVENT_TEXTS.on(events.StretchStarted)
def started(event: events.StretchStarted, meta: RecordedEvent) -> str:
    return "A prescribed stretch was started."


@EVENT_TEXTS.on(events.StretchStartEnteredInError)
def start_in_error(event: events.StretchStartEnteredInError, meta: RecordedEvent) -> str:
    done = "is taken back"
    if event.rests_on is not None:
        done = f"stands, since its {event.rests_on} rests on it"
    what = "The start of a stretch was by a session or note entered in error"
    return f"{what} and {done}: {event.reason}"


@EVENT_TEXTS.on(events.StretchDischarged)
def discharged(event: events.StretchDischarged, meta: RecordedEvent) -> str:
    days = ", ".join(one.due_on.isoformat() for one in event.planned)
    how = "at goal" if event.at_goal else f"short of the goal: {event.reason}"
    return f"Discharged from a stretch, {how}. Re-checks on {days}."


@EVENT_TEXTS.on(events.StretchResumed)
def resumed(event: events.StretchResumed, meta: RecordedEvent) -> str:
    return f"A stretch was resumed: {event.reason}."


@EVENT_TEXTS.on(events.StretchEnded)
def ended(event: events.StretchEnded, meta: RecordedEvent) -> str:
    return f"A stretch was ended: {event.reason}."


@EVENT_TEXTS.on(events.RecheckPutOnCallList)
def put_on_call_list(event: events.RecheckPutOnCallList, meta: RecordedEvent) -> str:
    written = "; the client was written to" if event.channel is events.ReminderChannel.MAIL else ""
    return f"The re-check of {event.due_on.isoformat()} is on the call list{written}."


@EVENT_TEXTS.on(events.RecheckCoveredBySession)
def covered_by_session(event: events.RecheckCoveredBySession, meta: RecordedEvent) -> str:
    return "A session near the date covers a re-check; nobody is called."


@EVENT_TEXTS.on(events.RecheckMaintained)
def maintained(event: events.RecheckMaintained, meta: RecordedEvent) -> str:
    changes = ", ".join(
        f"{movement_words(one.movement)} {one.change:+d}°" for one in event.evaluations
    )
    return f"Range was maintained at the re-check ({changes or 'as before'})."


@EVENT_TEXTS.on(events.RecheckRegressed)
def regressed(event: events.RecheckRegressed, meta: RecordedEvent) -> str:
    changes = ", ".join(
        f"{movement_words(one.movement)} {one.change:+d}°" for one in event.evaluations
    )
    return f"Range regressed at the re-check ({changes or 'a grade worse'})." + (
        " Refer." if event.refer else ""
    )


@EVENT_TEXTS.on(events.RecheckReopened)
def reopened(event: events.RecheckReopened, meta: RecordedEvent) -> str:
    days = ", ".join(one.due_on.isoformat() for one in event.reopened)
    again = " The stretch is discharged as before." if event.discharge_stands_again else ""
    return f"A measurement entered in error had decided a re-check: open again are {days}.{again}"


@EVENT_TEXTS.on(events.RecheckSkipped)
def skipped(event: events.RecheckSkipped, meta: RecordedEvent) -> str:
    return f"A re-check was skipped: {event.reason}."


@EVENT_TEXTS.on(home_exercise_events.HomeExerciseAssigned)
def assigned(event: home_exercise_events.HomeExerciseAssigned, meta: RecordedEvent) -> str:
    return f"Home exercise assigned: {event.name}, {event.side}, version {event.catalogue_version}."


@EVENT_TEXTS.on(home_exercise_events.HomeExerciseDiscontinued)
def discontinued(event: home_exercise_events.HomeExerciseDiscontinued, meta: RecordedEvent) -> str:
    return f"A home exercise was discontinued: {event.reason}."
