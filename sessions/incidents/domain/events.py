"""Events of a safety incident: reported, told, followed up, closed, opened again, put right.

An incident is a record of its own beside the session note, which never names it.
"""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from practice.core.events import Event, event
from sessions.incidents.domain.terms import IncidentKind, IncidentStepKind, ToldWhom


class IncidentContent(msgspec.Struct, frozen=True, kw_only=True):
    """What happened, where and with whom; clinical, so kept from the desk (ruling 20).

    ``done_at_once``: what was done there and then. ``practitioner_id``: who worked with the
    client. ``call_on``: the local day on which to call the client and hear how they are.
    """

    kind: IncidentKind
    happened_at: datetime
    what_happened: str
    done_at_once: str = ""
    facility_id: UUID | None = None
    session_id: UUID | None = None
    practitioner_id: UUID | None = None
    call_on: date | None = None


@event("incident.reported")
class IncidentReported(Event, frozen=True, kw_only=True):
    """An incident was reported. ``zone``: on whose calendar its days are (IANA)."""

    incident_id: UUID
    content: IncidentContent
    zone: str


@event("incident.told")
class IncidentTold(Event, frozen=True, kw_only=True):
    """Somebody was told of an incident."""

    incident_id: UUID
    step_id: UUID
    told_at: datetime
    whom: ToldWhom
    name: str = ""
    words: str = ""


@event("incident.followed_up")
class IncidentFollowedUp(Event, frozen=True, kw_only=True):
    """How the client is since, or what was done; ``call_on``: the next day to call them."""

    incident_id: UUID
    step_id: UUID
    followed_up_at: datetime
    words: str
    call_on: date | None = None


@event("incident.closed")
class IncidentClosed(Event, frozen=True, kw_only=True):
    """The follow-up of an incident ended, with what came of it."""

    incident_id: UUID
    step_id: UUID
    closed_at: datetime
    words: str


@event("incident.reopened")
class IncidentReopened(Event, frozen=True, kw_only=True):
    """An incident that was closed is followed up again."""

    incident_id: UUID
    step_id: UUID
    reopened_at: datetime
    reason: str


@event("incident.corrected")
class IncidentCorrected(Event, frozen=True, kw_only=True):
    """What was reported is put right, as a whole."""

    incident_id: UUID
    content: IncidentContent
    zone: str
    reason: str


@event("incident.step_in_error")
class IncidentStepInError(Event, frozen=True, kw_only=True):
    """Something recorded of an incident did not happen so: it counts no more."""

    incident_id: UUID
    step_id: UUID
    step: IncidentStepKind
    reason: str


@event("incident.entered_in_error")
class IncidentEnteredInError(Event, frozen=True, kw_only=True):
    """There was no such incident, or it was another client's."""

    incident_id: UUID
    reason: str
