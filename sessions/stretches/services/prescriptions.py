"""Commands on the stretches: prescribe, start, discharge, bring back, end, teach."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.person import client_details
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import EnteredTime, local_day
from practice.core.reasons import Reason, invalid
from practice.people_and_places.selectors.facilities import visible_facility_ids
from practice.people_and_places.selectors.kept import Place, place_get, places
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.calendar.selectors.zones import (
    current_facility,
    current_zone,
    resolve_occurred_at,
)
from sessions.catalogue.selectors import catalogue
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
from sessions.stretches.domain.prescription_state import PrescriptionState
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.state import STRETCHES, StretchesState
from sessions.stretches.selectors.prescriptions import prescription_get
from sessions.stretches.selectors.settings import dose_settings, recheck_settings

SLICES = (STRETCHES, CALENDAR)


def catalogue_facts(code: str) -> CatalogueFacts:
    """The entry of the catalogue that is prescribed. Raises Rejected 400 for an unknown code."""
    found = catalogue()
    if code not in found.contents:
        raise invalid("stretch", "There is no such stretch in use; see /stretch-catalogue.")
    (version,) = [one.version for one in found.specs if one.code == code]
    return CatalogueFacts(found.contents[code], version, dose_settings())


def stretch_prescribe(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Prescribe a stretch to the client (PrescribeStretch as it was typed); an unusual
    dose is taken with a warning."""
    occurred_at = resolve_occurred_at(
        uow, client_id, command.get("occurred_at"), command.get("session_id")
    )
    stretch = PrescribeStretch(**{**command, "occurred_at": occurred_at})
    uow.lock(client_id)
    if stretch.facility_id is not None:
        place_get(uow.actor, stretch.facility_id)
    facts = catalogue_facts(stretch.stretch)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, stretch.session_id)
        return decide_prescription(states[STRETCHES], stretch, facts, ctx)

    outcome = uow.execute(client_id, SLICES, decide, if_match=if_match)
    made: StretchPrescribed = outcome.first(StretchPrescribed)
    outcome.entity_id = made.prescription_id
    outcome.warnings += prescribing_warnings(made.doses, facts)
    outcome.warnings += not_permitted(uow, client_id, made)
    return outcome


def not_permitted(uow: UnitOfWork, client_id: UUID, made: StretchPrescribed) -> list[Reason]:
    """A warning for each prescribed technique that the record stands against now.

    Evaluated for whoever prescribes, at the facility named or the client's own, as if
    today's answers brought nothing new. The prescription stands: a clearance may still come.
    """
    who = uow.actor.practitioner_id
    place = current_facility(uow, client_id)
    facility_id = place.pk if place is not None else None
    if made.facility_id is not None:
        facility_id = made.facility_id
    if who is None or facility_id is None:
        return []
    assessor = SessionAssessor(client_id, client_facts(uow.states(client_id, CLIENT_FACTS)))
    day = local_day(uow.now, assessor.facility(facility_id).zone)
    evaluated = assessor.case(AssessmentPlace(who, facility_id, day)).planned()
    return not_permitted_now(made, evaluated)


def stretch_start(
    uow: UnitOfWork,
    *,
    prescription_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """The client has begun to do the stretch: in ``session_id``, ``occurred_at`` as it
    was typed."""
    client_id = prescription_get(prescription_id).client_id
    session_id: UUID | None = command.get("session_id")
    occurred_at = resolve_occurred_at(uow, client_id, command.get("occurred_at"), session_id)
    uow.lock(client_id)
    zone = current_zone(uow, client_id, session_id)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, session_id)
        return decide_start(
            states[STRETCHES],
            prescription_id,
            session_id=session_id,
            occurred_at=occurred_at,
            ctx=ctx,
            zone=zone,
        )

    outcome = uow.execute(client_id, SLICES, decide, if_match=if_match)
    outcome.entity_id = prescription_id
    return outcome


def discharge_facility(
    uow: UnitOfWork,
    prescription: PrescriptionState,
    facility_id: UUID | None,
    known: Sequence[UUID],
) -> Place:
    """The facility whose zone and open days date the re-checks: the one given, else the
    stretch's own, else the only one of the caller's where the client is known.

    Raises Rejected 400 where that leaves several, 404 for one that the caller does not see.
    """
    wanted = facility_id or prescription.prescribed.facility_id
    if wanted is not None:
        return place_get(uow.actor, wanted)
    seen = visible_facility_ids(uow.actor)
    visible = [one for one in set(known) & places().keys() if seen is None or one in seen]
    if len(visible) != 1:
        raise invalid("facility_id", "Say at which facility the re-checks are to be held.")
    return places()[visible[0]]


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
    prescription_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """Discharge from a stretch and plan its re-checks, from the local day it happened on.

    ``facility_id`` (see ``discharge_facility``), ``reason``, ``occurred_at`` as it was typed.
    """
    client_id = prescription_get(prescription_id).client_id
    occurred_at: EnteredTime | None = command.get("occurred_at")
    uow.lock(client_id)
    policy, revision = recheck_settings()
    known = client_details(uow, client_id).facility_ids

    def decide(states: States, ctx: Context) -> Decided:
        one = standing_prescription(states[STRETCHES], prescription_id)
        place = discharge_facility(uow, one, command.get("facility_id"), known)
        discharge = DischargeStretch(
            prescription_id=prescription_id,
            facility_id=place.pk,
            zone=place.zone,
            reason=command.get("reason", ""),
            occurred_at=occurred_at.at(place.zone) if occurred_at is not None else None,
        )
        plan = RecheckPlan(policy, facility_calendar(place.pk, place.zone), ctx.new_id)
        motion = states[MEASUREMENTS]
        return decide_discharge(
            states[STRETCHES],
            discharge,
            lambda found, moment: _standings_of(motion, found, moment),
            plan,
            policy_revision=revision,
            ctx=ctx,
        )

    outcome = uow.execute(client_id, (STRETCHES, MEASUREMENTS), decide, if_match=if_match)
    outcome.entity_id = prescription_id
    return outcome


def stretch_resume(
    uow: UnitOfWork,
    *,
    prescription_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """The practitioner brings a discharged stretch back, with the ``reason``."""
    return _step(
        uow,
        prescription_id,
        if_match,
        lambda state, ctx: decide_resume(state, prescription_id, command["reason"], ctx),
    )


def stretch_end(
    uow: UnitOfWork,
    *,
    prescription_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """End a stretch for good, with the ``reason``."""
    return _step(
        uow,
        prescription_id,
        if_match,
        lambda state, _: decide_end(state, prescription_id, command["reason"]),
    )


def _step(
    uow: UnitOfWork,
    prescription_id: UUID,
    if_match: int | None,
    decide: Callable[[StretchesState, Context], Decided],
) -> Outcome:
    outcome = uow.execute(
        prescription_get(prescription_id).client_id,
        (STRETCHES,),
        lambda states, ctx: decide(states[STRETCHES], ctx),
        if_match=if_match,
    )
    outcome.entity_id = prescription_id
    return outcome


def stretches_end(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """The client has left: every stretch prescribed is ended, its re-checks fall away."""
    reason: str = command["reason"]
    if not reason.strip():
        raise invalid("reason", "Say why all stretches are ended.")
    return uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, _: end_all_stretches(states[STRETCHES], reason),
        if_match=if_match,
    )
