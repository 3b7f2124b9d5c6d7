"""Commands on the stretch programme: prescribe, start, discharge, bring back, end, teach."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.person import client_details
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import EnteredTime, local_day
from practice.core.reasons import Reason, invalid
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.selectors.facilities import facility_get, visible_facilities
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.assessor import AssessmentPlace, SessionAssessor
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.calendar.selectors.zones import current_facility, current_zone
from sessions.catalogue.domain.content import catalogue_content
from sessions.catalogue.selectors import latest_stretches, stretch_get
from sessions.measurements.domain.deficits import goal_lookup
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.measurements.selectors.settings import measurement_settings, norms
from sessions.measurements.services import check_session
from sessions.stretches.domain.commands import DischargeStretch, PrescribeStretch
from sessions.stretches.domain.decisions import (
    decide_discharge,
    decide_end,
    decide_prescription,
    decide_resume,
    decide_start,
    end_all_stretches,
    not_permitted_now,
)
from sessions.stretches.domain.events import StretchPrescribed
from sessions.stretches.domain.goal_progress import GoalStandings, goal_standings
from sessions.stretches.domain.prescribing import (
    CatalogueFacts,
    prescribing_warnings,
    standing_prescription,
)
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.state import STRETCHES, PrescriptionState
from sessions.stretches.selectors.settings import dose_settings, recheck_settings

SLICES = (STRETCHES, CALENDAR)


def catalogue_facts(code: str) -> CatalogueFacts:
    """The entry of the catalogue that is prescribed. Raises Rejected 400 for an unknown code."""
    if code not in {row.code for row in latest_stretches()}:
        raise invalid("stretch", "There is no such stretch in use; see /stretch-catalogue.")
    row = stretch_get(code)
    return CatalogueFacts(catalogue_content(row.content), row.version, dose_settings())


def _warnings(outcome: Outcome, facts: CatalogueFacts) -> list[Reason]:
    made = outcome.first(StretchPrescribed)
    return prescribing_warnings(made.doses, facts) if made else []


def stretch_prescribe(
    uow: UnitOfWork, *, client_id: UUID, stretch: PrescribeStretch, if_match: int | None = None
) -> Outcome:
    """Put a stretch on the client's programme; an unusual dose is taken with a warning."""
    uow.lock(client_id)
    if stretch.facility_id is not None:
        facility_get(uow.actor, stretch.facility_id)
    facts = catalogue_facts(stretch.stretch)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, stretch.session_id)
        return decide_prescription(states[STRETCHES], stretch, facts, ctx)

    outcome = uow.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.warnings += _warnings(outcome, facts)
    outcome.warnings += not_permitted(uow, client_id, outcome.first(StretchPrescribed))
    return outcome


def not_permitted(uow: UnitOfWork, client_id: UUID, made: StretchPrescribed | None) -> list[Reason]:
    """A warning for each prescribed technique that the record stands against now.

    Judged for whoever prescribes, at the facility named or the client's own, as if
    today's answers brought nothing new. The prescription stands: a leave may still come.
    """
    who = uow.actor.practitioner_id
    place = current_facility(uow, client_id)
    facility_id = place.pk if place is not None else None
    if made is not None and made.facility_id is not None:
        facility_id = made.facility_id
    if made is None or who is None or facility_id is None:
        return []
    assessor = SessionAssessor(client_id, client_facts(uow.states(client_id, CLIENT_FACTS)))
    day = local_day(uow.now, assessor.facility(facility_id).zone)
    evaluated = assessor.case(AssessmentPlace(who, facility_id, day)).planned()
    return not_permitted_now(made, evaluated)


def stretch_start(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    prescription_id: UUID,
    session_id: UUID | None = None,
    at: datetime | None = None,
    if_match: int | None = None,
) -> Outcome:
    """The client has begun to do the stretch."""
    uow.lock(client_id)
    zone = current_zone(uow, client_id, session_id)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, session_id)
        return decide_start(
            states[STRETCHES], prescription_id, session_id=session_id, at=at, ctx=ctx, zone=zone
        )

    return uow.execute(client_id, SLICES, decide, if_match=if_match)


def discharge_facility(
    uow: UnitOfWork,
    prescription: PrescriptionState,
    facility_id: UUID | None,
    known: Sequence[UUID],
) -> Facility:
    """The facility whose zone and open days date the re-checks: the one given, else the
    stretch's own, else the only one of the caller's where the client is known.

    Raises Rejected 400 where that leaves several, 404 for one that the caller does not see.
    """
    wanted = facility_id or prescription.prescribed.facility_id
    if wanted is not None:
        return facility_get(uow.actor, wanted)
    hers = list(visible_facilities(uow.actor).filter(pk__in=known)[:2])
    if len(hers) != 1:
        raise invalid("facility_id", "Say at which facility the re-checks are to be held.")
    return hers[0]


def _standings_of(
    motion: MeasurementsState, prescription: PrescriptionState, at: datetime
) -> GoalStandings:
    settings = measurement_settings()
    return goal_standings(
        prescription, motion, goal_lookup(motion, settings, norms()), settings, at
    )


def stretch_discharge(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    prescription_id: UUID,
    facility_id: UUID | None = None,
    reason: str = "",
    at: EnteredTime | None = None,
    if_match: int | None = None,
) -> Outcome:
    """Discharge from a stretch and plan its re-checks, from the local day it happened on."""
    uow.lock(client_id)
    policy, revision = recheck_settings()
    known = client_details(uow, client_id).facility_ids

    def decide(states: States, ctx: Context) -> Decided:
        one = standing_prescription(states[STRETCHES], prescription_id)
        place = discharge_facility(uow, one, facility_id, known)
        command = DischargeStretch(
            prescription_id=prescription_id,
            facility_id=place.pk,
            zone=place.zone,
            reason=reason,
            at=at.at(place.zone) if at is not None else None,
        )
        plan = RecheckPlan(policy, facility_calendar(place.pk, place.zone), ctx.new_id)
        motion = states[MEASUREMENTS]
        return decide_discharge(
            states[STRETCHES],
            command,
            lambda found, moment: _standings_of(motion, found, moment),
            plan,
            policy_revision=revision,
            ctx=ctx,
        )

    return uow.execute(client_id, (STRETCHES, MEASUREMENTS), decide, if_match=if_match)


def stretch_resume(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    prescription_id: UUID,
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """The practitioner brings a discharged stretch back."""
    return uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, ctx: decide_resume(states[STRETCHES], prescription_id, reason, ctx),
        if_match=if_match,
    )


def stretch_end(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    prescription_id: UUID,
    reason: str,
    if_match: int | None = None,
) -> Outcome:
    """Take a stretch off the programme for good."""
    return uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, _: decide_end(states[STRETCHES], prescription_id, reason),
        if_match=if_match,
    )


def stretches_end(
    uow: UnitOfWork, *, client_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """The client has left: everything on her programme is ended, its re-checks fall away."""
    if not reason.strip():
        raise invalid("reason", "Say why the programme is ended.")
    return uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, _: end_all_stretches(states[STRETCHES], reason),
        if_match=if_match,
    )
