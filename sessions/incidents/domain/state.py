"""The incidents slice: every safety incident of a client, and where its follow-up stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import existing
from sessions.incidents.domain import events
from sessions.incidents.domain import incident as folding
from sessions.incidents.domain.incident import Incident

Builder = dict[UUID, Incident]


@dataclass(frozen=True, slots=True)
class IncidentsState:
    """The incidents by id, in the order in which they were reported."""

    incidents: Mapping[UUID, Incident]

    def incident(self, incident_id: UUID) -> Incident:
        """One incident; raises Rejected 404 where the client has none with that id."""
        return existing(self.incidents.get(incident_id), "incident")


INCIDENTS: Slice[Builder, IncidentsState] = Slice(
    "incidents",
    initial=dict,
    freeze=lambda found: IncidentsState(MappingProxyType(dict(found))),
    watches=(events,),
)


@INCIDENTS.on(events.IncidentReported)
def reported(found: Builder, event: events.IncidentReported, meta: RecordedEvent) -> None:
    found[event.incident_id] = folding.reported(event, meta)


@INCIDENTS.on(events.IncidentTold, events.IncidentFollowedUp)
def told_or_followed_up(
    found: Builder, event: events.IncidentTold | events.IncidentFollowedUp, meta: RecordedEvent
) -> None:
    if (one := found.get(event.incident_id)) is not None:
        found[one.id] = folding.stepped(one, event, meta)


@INCIDENTS.on(events.IncidentClosed, events.IncidentReopened)
def closed_or_reopened(
    found: Builder, event: events.IncidentClosed | events.IncidentReopened, meta: RecordedEvent
) -> None:
    if (one := found.get(event.incident_id)) is not None:
        found[one.id] = folding.stepped(one, event, meta)


@INCIDENTS.on(events.IncidentCorrected)
def corrected(found: Builder, event: events.IncidentCorrected, meta: RecordedEvent) -> None:
    if (one := found.get(event.incident_id)) is not None:
        found[one.id] = folding.corrected(one, event)


@INCIDENTS.on(events.IncidentStepInError)
def step_in_error(found: Builder, event: events.IncidentStepInError, meta: RecordedEvent) -> None:
    if (one := found.get(event.incident_id)) is not None:
        found[one.id] = folding.step_in_error(one, event)


@INCIDENTS.on(events.IncidentEnteredInError)
def in_error(found: Builder, event: events.IncidentEnteredInError, meta: RecordedEvent) -> None:
    if (one := found.get(event.incident_id)) is not None:
        found[one.id] = folding.in_error(one, event)


def incidents_of_record(state: IncidentsState) -> Any:
    """The incidents of a record as known on a day, in order of their entry."""
    return msgspec.to_builtins(list(state.incidents.values()))
