"""A safety incident reported, told, followed up, closed, opened again, put right. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import msgspec

from clients.identity.domain import dates
from practice.core.decisions import Context, Decided
from practice.core.localtime import local_day
from practice.core.reasons import Reason, Rejected, existing, invalid
from practice.core.terms import Role
from sessions.calendar.domain.session_state import SessionState
from sessions.incidents.domain import commands, events
from sessions.incidents.domain.events import IncidentContent
from sessions.incidents.domain.incident import Incident
from sessions.incidents.domain.terms import IncidentStatus, IncidentStepKind


@dataclass(frozen=True, slots=True)
class IncidentPlace:
    """What an incident is checked against: the client's sessions, the day of birth, the zones
    of the facilities and, for what has neither session nor facility, the client's own."""

    sessions: Mapping[UUID, SessionState]
    zones: Mapping[UUID, str]
    client_zone: str
    birth_date: date | None = None


def report_incident(
    command: commands.ReportIncident, place: IncidentPlace, ctx: Context
) -> Decided:
    """An incident, and who was told of it already. Raises Rejected 400 for what cannot be."""
    content = IncidentContent(
        kind=command.kind,
        happened_at=command.happened_at or ctx.now,
        what_happened=command.what_happened,
        done_at_once=command.done_at_once,
        facility_id=command.facility_id,
        session_id=command.session_id,
        practitioner_id=command.practitioner_id,
        call_on=command.call_on,
    )
    content, zone = _placed(content, place, ctx)
    _check_call(content.call_on, content.happened_at, zone)
    made = events.IncidentReported(incident_id=ctx.new_id(), content=content, zone=zone)
    told = [_told(made.incident_id, content, one, ctx) for one in command.told]
    return [made, *told]


def tell_of_incident(incident: Incident, command: commands.TellOfIncident, ctx: Context) -> Decided:
    """Somebody was told, be it after the closing. Raises Rejected 409 for one in error."""
    _check_stands(incident)
    return [_told(incident.id, incident.content, command, ctx)]


def follow_up_incident(
    incident: Incident, command: commands.FollowUpIncident, ctx: Context
) -> Decided:
    """How the client is since. Raises Rejected 409 where nobody follows it up any more."""
    _check_open(incident)
    at = _time("at", command.at, incident.content.happened_at, ctx)
    _check_call(command.call_on, at, incident.zone)
    return [
        events.IncidentFollowedUp(
            incident_id=incident.id,
            step_id=ctx.new_id(),
            followed_up_at=at,
            words=command.words,
            call_on=command.call_on,
        )
    ]


def close_incident(incident: Incident, command: commands.CloseIncident, ctx: Context) -> Decided:
    """The follow-up ends. Raises Rejected 403 for a practitioner who was there or reported it,
    409 while nobody is on record as told."""
    _check_open(incident)
    actor = ctx.actor
    was_there = actor.practitioner_id is not None and (
        actor.practitioner_id == incident.content.practitioner_id
    )
    if actor.role is not Role.OWNER and (was_there or actor.id == incident.reported_by):
        raise Rejected(
            "own_incident",
            "Who was there or reported it does not close it: another practitioner or the owner.",
            status=403,
        )
    if not incident.standing(IncidentStepKind.TOLD):
        raise Rejected("nobody_told", "Say first who was told of it, at least the owner.")
    return [
        events.IncidentClosed(
            incident_id=incident.id, step_id=ctx.new_id(), closed_at=ctx.now, words=command.words
        )
    ]


def closing_warnings(incident: Incident) -> list[Reason]:
    """The follow-up call that nobody is asked for any more once an open incident is closed."""
    if incident.call_on is None:
        return []
    text = (
        f"A follow-up call was asked for on {incident.call_on:%Y-%m-%d}: with the closing it leaves"
        " the call list. If it is still to be made, call now or open the incident again."
    )
    return [Reason(code="call_no_longer_due", text=text, source="practice policy")]


def reopen_incident(incident: Incident, command: commands.ReasonOnly, ctx: Context) -> Decided:
    """It is followed up again. Raises Rejected 409 for one that is not closed."""
    _check_stands(incident)
    if incident.status is not IncidentStatus.CLOSED:
        raise Rejected("incident_open", "The incident is followed up: nothing is to be opened.")
    return [
        events.IncidentReopened(
            incident_id=incident.id,
            step_id=ctx.new_id(),
            reopened_at=ctx.now,
            reason=command.reason,
        )
    ]


def correct_incident(
    incident: Incident, command: commands.CorrectIncident, place: IncidentPlace, ctx: Context
) -> Decided:
    """What was reported is put right. Raises Rejected 409 where it says what stands."""
    _check_stands(incident)
    given = {
        name: value
        for name, value in msgspec.structs.asdict(command).items()
        if name != "reason" and value is not msgspec.UNSET
    }
    if given.get("session_id") not in (None, incident.content.session_id):
        # Place and person are those of the right session, unless they are said too.
        given = {"facility_id": None, "practitioner_id": None, **given}
    content, zone = _placed(msgspec.structs.replace(incident.content, **given), place, ctx)
    if content == incident.content:
        raise Rejected("nothing_to_correct", "This is what is on record already.")
    earliest = min((one.at for one in incident.steps if not one.in_error), default=ctx.now)
    if content.happened_at > earliest:
        raise invalid("happened_at", "It was told or followed up before that already.")
    return [
        events.IncidentCorrected(
            incident_id=incident.id, content=content, zone=zone, reason=command.reason
        )
    ]


def take_step_back(incident: Incident, command: commands.TakeStepBack) -> Decided:
    """A step did not happen so; a closing taken back opens the incident again.

    Raises Rejected 409 for a step that was taken back before.
    """
    _check_stands(incident)
    step = existing(
        next((one for one in incident.steps if one.id == command.step_id), None), "step"
    )
    if step.in_error:
        raise Rejected("step_in_error_already", "This step was taken back already.")
    return [
        events.IncidentStepInError(
            incident_id=incident.id, step_id=step.id, step=step.kind, reason=command.reason
        )
    ]


def enter_incident_in_error(incident: Incident, command: commands.ReasonOnly) -> Decided:
    """There was no such incident. Raises Rejected 409 where that is on record already."""
    _check_stands(incident)
    return [events.IncidentEnteredInError(incident_id=incident.id, reason=command.reason)]


def _placed(
    content: IncidentContent, place: IncidentPlace, ctx: Context
) -> tuple[IncidentContent, str]:
    """The content with the session's place and person where none are named, and the zone."""
    zone = place.zones.get(content.facility_id) if content.facility_id else None
    if content.session_id is not None:
        session = place.sessions.get(content.session_id)
        if session is None:
            raise invalid("session_id", "This client has no such session.")
        content = msgspec.structs.replace(
            content,
            facility_id=content.facility_id or session.facility_id,
            practitioner_id=content.practitioner_id or session.practitioner_id,
        )
        zone = zone or session.zone
    zone = zone or place.client_zone
    if content.happened_at > ctx.now:
        raise invalid("happened_at", "What happened cannot lie in the future.")
    day = local_day(content.happened_at, zone)
    dates.check_within_lifetime("happened_at", day, place.birth_date)
    return content, zone


def _told(
    incident_id: UUID, content: IncidentContent, command: commands.TellOfIncident, ctx: Context
) -> events.IncidentTold:
    return events.IncidentTold(
        incident_id=incident_id,
        step_id=ctx.new_id(),
        told_at=_time("at", command.at, content.happened_at, ctx),
        whom=command.whom,
        name=command.name,
        words=command.words,
    )


def _time(field: str, at: datetime | None, since: datetime, ctx: Context) -> datetime:
    """When a step was; raises Rejected 400 for one before the incident or in the future."""
    if at is None:
        return ctx.now
    if at > ctx.now:
        raise invalid(field, "This cannot lie in the future.")
    if at < since:
        raise invalid(field, "This cannot lie before the incident.")
    return at


def _check_call(call_on: date | None, since: datetime, zone: str) -> None:
    dates.check_order("call_on", local_day(since, zone), call_on)


def _check_stands(incident: Incident) -> None:
    if incident.status is IncidentStatus.IN_ERROR:
        raise Rejected("incident_in_error", "The incident was entered in error: nothing is added.")


def _check_open(incident: Incident) -> None:
    _check_stands(incident)
    if incident.status is not IncidentStatus.OPEN:
        raise Rejected("incident_closed", "The incident is closed: open it again first.")
