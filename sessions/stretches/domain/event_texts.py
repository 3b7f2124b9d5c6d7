"""Sentences of the history: the stretch programme, re-checks, home exercises."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from clients.identity.domain.event_texts import event_text
from sessions.measurements.domain.ranges import movement_words
from sessions.stretches.domain.events import (
    HomeExerciseAssigned,
    HomeExerciseDiscontinued,
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckPutOnCallList,
    RecheckRegressed,
    RecheckSkipped,
    ReminderChannel,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)


@event_text(StretchPrescribed)
def _prescribed(event: StretchPrescribed) -> str:
    return f"Prescribed: {event.name}, {event.side}, {words_text(event.techniques)}."


@event_text(StretchStarted)
def _started(event: StretchStarted) -> str:
    return "A prescribed stretch was started."


@event_text(StretchDischarged)
def _discharged(event: StretchDischarged) -> str:
    days = ", ".join(one.due_on.isoformat() for one in event.planned)
    how = "at goal" if event.at_goal else f"short of the goal: {event.reason}"
    return f"Discharged from a stretch, {how}. Re-checks on {days}."


@event_text(StretchResumed)
def _resumed(event: StretchResumed) -> str:
    return f"A stretch was resumed: {event.reason}."


@event_text(StretchEnded)
def _ended(event: StretchEnded) -> str:
    return f"A stretch was ended: {event.reason}."


@event_text(RecheckPutOnCallList)
def _put_on_call_list(event: RecheckPutOnCallList) -> str:
    written = "; the client was written to" if event.channel is ReminderChannel.MAIL else ""
    return f"The re-check of {event.due_on.isoformat()} is on the call list{written}."


@event_text(RecheckCoveredBySession)
def _covered_by_session(event: RecheckCoveredBySession) -> str:
    return "A session near the date covers a re-check; nobody is called."


@event_text(RecheckMaintained)
def _maintained(event: RecheckMaintained) -> str:
    changes = ", ".join(
        f"{movement_words(one.movement)} {one.change:+d}°" for one in event.evaluations
    )
    return f"Range was maintained at the re-check ({changes or 'as before'})."


@event_text(RecheckRegressed)
def _regressed(event: RecheckRegressed) -> str:
    changes = ", ".join(
        f"{movement_words(one.movement)} {one.change:+d}°" for one in event.evaluations
    )
    return f"Range regressed at the re-check ({changes or 'a grade worse'})." + (
        " Refer." if event.refer else ""
    )


@event_text(RecheckSkipped)
def _skipped(event: RecheckSkipped) -> str:
    return f"A re-check was skipped: {event.reason}."


@event_text(HomeExerciseAssigned)
def _assigned(event: HomeExerciseAssigned) -> str:
    return f"Home exercise assigned: {event.name}, {event.side}, version {event.catalogue_version}."


@event_text(HomeExerciseDiscontinued)
def _discontinued(event: HomeExerciseDiscontinued) -> str:
    return f"A home exercise was discontinued: {event.reason}."
