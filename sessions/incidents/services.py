"""Safety incidents on the client's record: one function for each command."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from clients.identity.domain.state import IDENTITY
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import Reason, Rejected
from practice.people_and_places.selectors.facilities import facility_get, practitioner_get
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.calendar.domain.state import CALENDAR
from sessions.incidents.domain import commands, decisions
from sessions.incidents.domain.decisions import IncidentPlace
from sessions.incidents.domain.events import IncidentReported
from sessions.incidents.domain.incident import Incident
from sessions.incidents.domain.state import INCIDENTS

Decide = Callable[[Incident, Context], Decided]


def incident_report(
    uow: UnitOfWork, *, client_id: UUID, command: commands.ReportIncident
) -> Outcome:
    """An incident; ``entity_id`` of the outcome is its id."""
    uow.lock(client_id)
    zones = _zones(uow, command.facility_id, command.practitioner_id)

    def decide(states: States, ctx: Context) -> Decided:
        return decisions.report_incident(command, _place(states, zones), ctx)

    done = uow.execute(client_id, (IDENTITY, CALENDAR), decide)
    done.entity_id = done.first(IncidentReported).incident_id
    return done


def incident_correct(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.CorrectIncident
) -> Outcome:
    """What was reported is put right."""
    uow.lock(client_id)
    named = [command.facility_id, command.practitioner_id]
    facility_id, practitioner_id = (one if isinstance(one, UUID) else None for one in named)
    zones = _zones(uow, facility_id, practitioner_id)

    def decide(states: States, ctx: Context) -> Decided:
        incident = states[INCIDENTS].incident(incident_id)
        known = incident.content.facility_id
        there = {**({known: incident.zone} if known else {}), **zones}
        return decisions.correct_incident(incident, command, _place(states, there), ctx)

    done = uow.execute(client_id, (IDENTITY, CALENDAR, INCIDENTS), decide)
    done.entity_id = incident_id
    return done


def incident_tell(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.TellOfIncident
) -> Outcome:
    """Somebody was told."""
    return _of_incident(
        uow,
        client_id,
        incident_id,
        lambda incident, ctx: decisions.tell_of_incident(incident, command, ctx),
    )


def incident_follow_up(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.FollowUpIncident
) -> Outcome:
    """How the client is since."""
    return _of_incident(
        uow,
        client_id,
        incident_id,
        lambda incident, ctx: decisions.follow_up_incident(incident, command, ctx),
    )


def incident_close(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.CloseIncident
) -> Outcome:
    """The follow-up ends; the outcome warns of a call that is no longer due."""
    warnings: list[Reason] = []

    def decide(incident: Incident, ctx: Context) -> Decided:
        warnings[:] = decisions.closing_warnings(incident)
        return decisions.close_incident(incident, command, ctx)

    done = _of_incident(uow, client_id, incident_id, decide)
    done.warnings += warnings
    return done


def incident_reopen(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.ReasonOnly
) -> Outcome:
    """It is followed up again."""
    return _of_incident(
        uow,
        client_id,
        incident_id,
        lambda incident, ctx: decisions.reopen_incident(incident, command, ctx),
    )


def incident_step_take_back(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.TakeStepBack
) -> Outcome:
    """Something recorded of it did not happen so."""
    return _of_incident(
        uow,
        client_id,
        incident_id,
        lambda incident, _ctx: decisions.take_step_back(incident, command),
    )


def incident_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, incident_id: UUID, command: commands.ReasonOnly
) -> Outcome:
    """There was no such incident."""
    return _of_incident(
        uow,
        client_id,
        incident_id,
        lambda incident, _ctx: decisions.enter_incident_in_error(incident, command),
    )


def _of_incident(uow: UnitOfWork, client_id: UUID, incident_id: UUID, decide: Decide) -> Outcome:
    done = uow.execute(
        client_id,
        (INCIDENTS,),
        lambda states, ctx: decide(states[INCIDENTS].incident(incident_id), ctx),
    )
    done.entity_id = incident_id
    return done


def _zones(
    uow: UnitOfWork, facility_id: UUID | None, practitioner_id: UUID | None
) -> dict[UUID, str]:
    """The zone of the facility that is named. Raises Rejected 404 for a facility or a
    practitioner whom the caller does not see."""
    if practitioner_id is not None:
        practitioner_get(uow.actor, practitioner_id)
    if facility_id is None:
        return {}
    return {facility_id: facility_get(uow.actor, facility_id).zone}


def _place(states: States, zones: dict[UUID, str]) -> IncidentPlace:
    details = states[IDENTITY].details
    if details is None:
        raise Rejected("not_registered", "This client was never registered.")
    return IncidentPlace(
        sessions=states[CALENDAR].sessions,
        zones=zones,
        client_zone=details.zone,
        birth_date=details.birth_date,
    )
