"""Home exercises: taught, taken back by a person, or by itself when the verdict narrows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, FACT_EVENTS, client_facts
from clients.domain.identity import IDENTITY
from clients.domain.permissions.outputs import Verdict
from practice.domain.decisions import Context, Decided, Reactor, States
from practice.domain.events import Recorded
from practice.domain.localtime import local_day
from practice.domain.reasons import Rejected, invalid
from practice.domain.terms import Mode, Side, Technique
from practice.eventlog.runner import Outcome, Work
from sessions.domain.programme.commands import TeachHomeExercise
from sessions.domain.programme.deciding import (
    decide_taking_back,
    decide_teaching,
    prescribing_warnings,
)
from sessions.domain.programme.reacting import Narrowed, take_back_what_narrowed
from sessions.domain.programme.state import PROGRAMME
from sessions.selectors.facilities import zone_of
from sessions.services.judging import Judge, Place
from sessions.services.programme import catalogue_facts
from sessions.services.zones import zone_here

SLICES = (PROGRAMME, *CLIENT_FACTS, IDENTITY)


@dataclass(frozen=True)
class Taught:
    """What is done at home, and who taught it."""

    stretch: str
    side: Side
    taught_by: UUID


def _verdict(
    client_id: UUID, states: States, taught: Taught, now: Recorded | Context
) -> Verdict | None:
    """What may be done of it by herself, if nothing new stands against it on the day.

    None where no facility is on her record: nothing can be judged then.
    """
    details = states[IDENTITY].details
    if details is None or not details.facility_ids:
        return None
    facility_id = details.facility_ids[0]
    at = now.now if isinstance(now, Context) else now.recorded_at
    place = Place(taught.taught_by, facility_id, local_day(at, zone_of(facility_id)))
    judged = Judge(client_id, client_facts(states)).case(place).planned()
    return judged.verdict(taught.stretch, Technique.ACTIVE_ISOLATED, taught.side)


def home_exercise_teach(
    work: Work, *, client_id: UUID, exercise: TeachHomeExercise, if_match: int | None = None
) -> Outcome:
    """Record a home exercise that the client was taught.

    Raises Rejected 409 ``not_permitted`` for one that she may not do at all now.
    """
    work.lock(client_id)
    if exercise.taught_on > local_day(work.now, zone_here(work, client_id)):
        raise invalid("taught_on", "That day has not come yet.")
    facts = catalogue_facts(exercise.stretch)
    taught = Taught(exercise.stretch, exercise.side, exercise.taught_by)

    def decide(states: States, ctx: Context) -> Decided:
        made = decide_teaching(states[PROGRAMME], exercise, facts, ctx)
        verdict = _verdict(client_id, states, taught, ctx)
        if verdict is not None and verdict.mode is Mode.NOT_TODAY:
            raise Rejected(
                "not_permitted", "She may not do this stretch now.", reasons=verdict.reasons
            )
        return made

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += prescribing_warnings((exercise.dose,), facts)
    return outcome


def home_exercise_take_back(
    work: Work, *, client_id: UUID, home_exercise_id: UUID, reason: str
) -> Outcome:
    """Take a home exercise back. A fact that narrows: never refused as stale."""
    return work.execute(
        client_id,
        (PROGRAMME,),
        lambda states, _: decide_taking_back(states[PROGRAMME], home_exercise_id, reason),
    )


def _narrowed(client_id: UUID, states: States, rec: Recorded) -> Narrowed:
    """The home exercises that she may not do any more, with the reasons as text."""
    found: Mapping[UUID, Verdict | None] = {
        key: _verdict(client_id, states, Taught(one.stretch, one.side, one.taught_by), rec)
        for key, one in states[PROGRAMME].home.items()
    }
    return {
        key: " ".join(reason.text for reason in verdict.reasons)
        for key, verdict in found.items()
        if verdict is not None and verdict.mode is Mode.NOT_TODAY
    }


TAKE_BACK_WHAT_NARROWED = Reactor(
    name="take back home exercises",
    on=FACT_EVENTS,
    slices=SLICES,
    react=take_back_what_narrowed,
    gather=_narrowed,
)
"""A fact that narrows takes back what she may not do any more, in the same transaction."""
