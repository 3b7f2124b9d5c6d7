"""Commands on the stretch programme: prescribe, start, discharge, bring back, end, teach."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from practice.domain.decisions import Context, Decided, States
from practice.domain.localtime import TypedTime, local_day
from practice.domain.reasons import Reason, invalid
from practice.eventlog.runner import Outcome, Work
from practice.models import Facility
from practice.selectors import facility_get, visible_facilities
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.catalogue.content import content_of
from sessions.domain.motion.deficits import goal_lookup
from sessions.domain.motion.state import MOTION, MotionState
from sessions.domain.programme.commands import (
    DischargeStretch,
    PrescribeStretch,
)
from sessions.domain.programme.dates import RecheckPlan
from sessions.domain.programme.deciding import (
    CatalogueFacts,
    decide_discharge,
    decide_end,
    decide_prescription,
    decide_resume,
    decide_start,
    end_all,
    not_permitted_now,
    prescribing_warnings,
    standing_prescription,
)
from sessions.domain.programme.events import StretchPrescribed
from sessions.domain.programme.goalcheck import Standings, standings
from sessions.domain.programme.state import PROGRAMME, Prescription
from sessions.selectors.catalogue import latest_stretches, stretch_get
from sessions.selectors.facilities import opening_of
from sessions.selectors.measurement import measurement_settings, norms
from sessions.selectors.programmesettings import dose_settings, recheck_settings
from sessions.services.clientfacts import person_of
from sessions.services.judging import Judge, Place
from sessions.services.motion import check_session
from sessions.services.zones import facility_here, zone_here

SLICES = (PROGRAMME, CALENDAR)


def catalogue_facts(code: str) -> CatalogueFacts:
    """The entry of the catalogue that is prescribed. Raises Rejected 400 for an unknown code."""
    if code not in {row.code for row in latest_stretches()}:
        raise invalid("stretch", "There is no such stretch in use; see /stretch-catalogue.")
    row = stretch_get(code)
    return CatalogueFacts(content_of(row.content), row.version, dose_settings())


def _warnings(outcome: Outcome, facts: CatalogueFacts) -> list[Reason]:
    made = outcome.first(StretchPrescribed)
    return prescribing_warnings(made.doses, facts) if made else []


def stretch_prescribe(
    work: Work, *, client_id: UUID, stretch: PrescribeStretch, if_match: int | None = None
) -> Outcome:
    """Put a stretch on the client's programme; an unusual dose is taken with a warning."""
    work.lock(client_id)
    if stretch.facility_id is not None:
        facility_get(work.actor, stretch.facility_id)
    facts = catalogue_facts(stretch.stretch)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, stretch.session_id)
        return decide_prescription(states[PROGRAMME], stretch, facts, ctx)

    outcome = work.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += _warnings(outcome, facts)
    outcome.warnings += not_permitted(work, client_id, outcome.first(StretchPrescribed))
    return outcome


def not_permitted(work: Work, client_id: UUID, made: StretchPrescribed | None) -> list[Reason]:
    """A warning for each prescribed technique that the record stands against now.

    Judged for whoever prescribes, at the facility named or the client's own, as if
    today's answers brought nothing new. The prescription stands: a leave may still come.
    """
    who = work.actor.practitioner_id
    place = facility_here(work, client_id)
    facility_id = place.pk if place is not None else None
    if made is not None and made.facility_id is not None:
        facility_id = made.facility_id
    if made is None or who is None or facility_id is None:
        return []
    judge = Judge(client_id, client_facts(work.states(client_id, CLIENT_FACTS)))
    day = local_day(work.now, judge.facility(facility_id).zone)
    judged = judge.case(Place(who, facility_id, day)).planned()
    return not_permitted_now(made, judged)


def stretch_start(
    work: Work,
    *,
    client_id: UUID,
    prescription_id: UUID,
    session_id: UUID | None = None,
    at: datetime | None = None,
    if_match: int | None = None,
) -> Outcome:
    """The client has begun to do the stretch."""
    work.lock(client_id)
    zone = zone_here(work, client_id, session_id)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, session_id)
        return decide_start(
            states[PROGRAMME], prescription_id, session_id=session_id, at=at, ctx=ctx, zone=zone
        )

    return work.execute(client_id, SLICES, decide, if_match=if_match)


def place_of_discharge(
    work: Work, prescription: Prescription, facility_id: UUID | None, known: Sequence[UUID]
) -> Facility:
    """The facility whose zone and open days date the re-checks: the one given, else the
    stretch's own, else the only one of the caller's where the client is known.

    Raises Rejected 400 where that leaves several, 404 for one that the caller does not see.
    """
    wanted = facility_id or prescription.prescribed.facility_id
    if wanted is not None:
        return facility_get(work.actor, wanted)
    hers = list(visible_facilities(work.actor).filter(pk__in=known)[:2])
    if len(hers) != 1:
        raise invalid("facility_id", "Say at which facility the re-checks are to be held.")
    return hers[0]


def _standings_of(motion: MotionState, prescription: Prescription, at: datetime) -> Standings:
    settings = measurement_settings()
    return standings(prescription, motion, goal_lookup(motion, settings, norms()), settings, at)


def stretch_discharge(
    work: Work,
    *,
    client_id: UUID,
    prescription_id: UUID,
    facility_id: UUID | None = None,
    reason: str = "",
    at: TypedTime | None = None,
    if_match: int | None = None,
) -> Outcome:
    """Discharge from a stretch and plan its re-checks, from the local day it happened on."""
    work.lock(client_id)
    policy, revision = recheck_settings()
    known = person_of(work, client_id).facility_ids

    def decide(states: States, ctx: Context) -> Decided:
        one = standing_prescription(states[PROGRAMME], prescription_id)
        place = place_of_discharge(work, one, facility_id, known)
        command = DischargeStretch(
            prescription_id=prescription_id,
            facility_id=place.pk,
            zone=place.zone,
            reason=reason,
            at=at.at(place.zone) if at is not None else None,
        )
        plan = RecheckPlan(policy, place.zone, opening_of(place.pk), ctx.new_id)
        motion = states[MOTION]
        return decide_discharge(
            states[PROGRAMME],
            command,
            lambda found, moment: _standings_of(motion, found, moment),
            plan,
            policy_revision=revision,
            ctx=ctx,
        )

    return work.execute(client_id, (PROGRAMME, MOTION), decide, if_match=if_match)


def stretch_resume(
    work: Work, *, client_id: UUID, prescription_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """The practitioner brings a discharged stretch back."""
    return work.execute(
        client_id,
        (PROGRAMME,),
        lambda states, ctx: decide_resume(states[PROGRAMME], prescription_id, reason, ctx),
        if_match=if_match,
    )


def stretch_end(
    work: Work, *, client_id: UUID, prescription_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """Take a stretch off the programme for good."""
    return work.execute(
        client_id,
        (PROGRAMME,),
        lambda states, _: decide_end(states[PROGRAMME], prescription_id, reason),
        if_match=if_match,
    )


def programme_end(
    work: Work, *, client_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """The client has left: everything on her programme is ended, its re-checks fall away."""
    if not reason.strip():
        raise invalid("reason", "Say why the programme is ended.")
    return work.execute(
        client_id,
        (PROGRAMME,),
        lambda states, _: end_all(states[PROGRAMME], reason),
        if_match=if_match,
    )
