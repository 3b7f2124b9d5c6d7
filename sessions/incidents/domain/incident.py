"""One safety incident and what happened to it; the same in the state and in the row. Pure."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import RecordedEvent
from sessions.incidents.domain import events
from sessions.incidents.domain.terms import IncidentStatus, IncidentStepKind, ToldWhom


class IncidentStep(msgspec.Struct, frozen=True, kw_only=True):
    """Something that happened to an incident; ``by`` is the member of staff who entered it,
    ``in_error``: why it does not count."""

    id: UUID
    kind: IncidentStepKind
    at: datetime
    by: UUID
    recorded_at: datetime
    whom: ToldWhom | None = None
    name: str = ""
    words: str = ""
    call_on: date | None = None
    in_error: str = ""


class Incident(msgspec.Struct, frozen=True, kw_only=True):
    """An incident as it stands; ``steps`` in order of recording, those in error too."""

    id: UUID
    content: events.IncidentContent
    zone: str
    reported_by: UUID
    reported_at: datetime
    steps: tuple[IncidentStep, ...] = ()
    corrections: tuple[str, ...] = ()
    in_error: str = ""

    def standing(self, *kinds: IncidentStepKind) -> list[IncidentStep]:
        """The steps of some kinds that count, in order of recording."""
        return [one for one in self.steps if one.kind in kinds and not one.in_error]

    @property
    def status(self) -> IncidentStatus:
        """Where its follow-up stands."""
        if self.in_error:
            return IncidentStatus.IN_ERROR
        turns = self.standing(IncidentStepKind.CLOSED, IncidentStepKind.REOPENED)
        closed = bool(turns) and turns[-1].kind is IncidentStepKind.CLOSED
        return IncidentStatus.CLOSED if closed else IncidentStatus.OPEN

    @property
    def call_on(self) -> date | None:
        """The day on which to call the client next; None where nobody is to call."""
        if self.status is not IncidentStatus.OPEN:
            return None
        said = self.standing(IncidentStepKind.FOLLOWED_UP)
        return said[-1].call_on if said else self.content.call_on

    @property
    def call_asked_at(self) -> datetime:
        """When that day was named: a call before it said nothing of it."""
        said = self.standing(IncidentStepKind.FOLLOWED_UP)
        return said[-1].recorded_at if said else self.reported_at

    @property
    def closed_at(self) -> datetime | None:
        """When it was closed, while it is."""
        if self.status is not IncidentStatus.CLOSED:
            return None
        return self.standing(IncidentStepKind.CLOSED)[-1].at


Step = (
    events.IncidentTold
    | events.IncidentFollowedUp
    | events.IncidentClosed
    | events.IncidentReopened
)


def reported(event: events.IncidentReported, meta: RecordedEvent) -> Incident:
    """An incident that was just reported."""
    return Incident(
        id=event.incident_id,
        content=event.content,
        zone=event.zone,
        reported_by=meta.actor,
        reported_at=meta.recorded_at,
    )


def stepped(incident: Incident, event: Step, meta: RecordedEvent) -> Incident:
    """The incident after one more step."""
    return msgspec.structs.replace(incident, steps=(*incident.steps, _step(event, meta)))


def corrected(incident: Incident, event: events.IncidentCorrected) -> Incident:
    """The incident as it should have been reported."""
    reasons = (*incident.corrections, event.reason)
    return msgspec.structs.replace(
        incident, content=event.content, zone=event.zone, corrections=reasons
    )


def step_in_error(incident: Incident, event: events.IncidentStepInError) -> Incident:
    """The incident without what did not happen so."""
    steps = tuple(
        msgspec.structs.replace(one, in_error=event.reason) if one.id == event.step_id else one
        for one in incident.steps
    )
    return msgspec.structs.replace(incident, steps=steps)


def in_error(incident: Incident, event: events.IncidentEnteredInError) -> Incident:
    """The incident that was none."""
    return msgspec.structs.replace(incident, in_error=event.reason)


def _step(event: Step, meta: RecordedEvent) -> IncidentStep:
    told: dict[str, Any] = {}
    match event:
        case events.IncidentTold():
            kind, at, words = IncidentStepKind.TOLD, event.told_at, event.words
            told = {"whom": event.whom, "name": event.name}
        case events.IncidentFollowedUp():
            kind, at, words = IncidentStepKind.FOLLOWED_UP, event.followed_up_at, event.words
            told = {"call_on": event.call_on}
        case events.IncidentClosed():
            kind, at, words = IncidentStepKind.CLOSED, event.closed_at, event.words
        case events.IncidentReopened():
            kind, at, words = IncidentStepKind.REOPENED, event.reopened_at, event.reason
    return IncidentStep(
        id=event.step_id,
        kind=kind,
        at=at,
        by=meta.actor,
        recorded_at=meta.recorded_at,
        words=words,
        **told,
    )
