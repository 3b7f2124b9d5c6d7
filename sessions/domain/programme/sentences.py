"""Sentences of the history: the stretch programme, re-checks, home exercises."""

from __future__ import annotations

from clients.domain.sentences import listed, says
from sessions.domain.motion.ranges import words
from sessions.domain.programme.events import (
    Channel,
    HomeExerciseTakenBack,
    HomeExerciseTaught,
    RecheckCalled,
    RecheckCarried,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)


@says(StretchPrescribed)
def _prescribed(event: StretchPrescribed) -> str:
    return f"Prescribed: {event.name}, {event.side}, {listed(event.techniques)}."


@says(StretchStarted)
def _started(event: StretchStarted) -> str:
    return "A prescribed stretch was begun."


@says(StretchDischarged)
def _discharged(event: StretchDischarged) -> str:
    days = ", ".join(one.due_on.isoformat() for one in event.planned)
    how = "at goal" if event.at_goal else f"short of the goal: {event.reason}"
    return f"Discharged from a stretch, {how}. Re-checks on {days}."


@says(StretchResumed)
def _resumed(event: StretchResumed) -> str:
    return f"A stretch is on the programme again: {event.reason}."


@says(StretchEnded)
def _ended(event: StretchEnded) -> str:
    return f"A stretch was ended: {event.reason}."


@says(RecheckCalled)
def _called(event: RecheckCalled) -> str:
    written = "; she was written to" if event.channel is Channel.MAIL else ""
    return f"The re-check of {event.due_on.isoformat()} is on the call list{written}."


@says(RecheckCarried)
def _carried(event: RecheckCarried) -> str:
    return "A session near the date carries a re-check; nobody is called."


@says(RecheckHeld)
def _held(event: RecheckHeld) -> str:
    changes = ", ".join(f"{words(one.movement)} {one.change:+d}°" for one in event.judged)
    return f"Range was held at the re-check ({changes or 'as before'})."


@says(RecheckLost)
def _lost(event: RecheckLost) -> str:
    changes = ", ".join(f"{words(one.movement)} {one.change:+d}°" for one in event.judged)
    return f"Range was lost at the re-check ({changes or 'a grade worse'})." + (
        " Refer." if event.refer else ""
    )


@says(RecheckSkipped)
def _skipped(event: RecheckSkipped) -> str:
    return f"A re-check was skipped: {event.reason}."


@says(HomeExerciseTaught)
def _taught(event: HomeExerciseTaught) -> str:
    return f"Taught for home: {event.name}, {event.side}, version {event.catalogue_version}."


@says(HomeExerciseTakenBack)
def _taken_back(event: HomeExerciseTakenBack) -> str:
    return f"A home exercise was taken back: {event.reason}."
