"""What staff ask of safety incidents, as plain values."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from sessions.incidents.domain.terms import IncidentKind, ToldWhom


class TellOfIncident(msgspec.Struct, frozen=True, kw_only=True):
    """Somebody who was told; ``at`` now where it is not given."""

    whom: ToldWhom
    name: str = ""
    words: str = ""
    at: datetime | None = None


class ReportIncident(msgspec.Struct, frozen=True, kw_only=True):
    """An incident; ``happened_at`` now, place and practitioner those of the session, where
    they are not given."""

    kind: IncidentKind
    what_happened: str
    happened_at: datetime | None = None
    done_at_once: str = ""
    facility_id: UUID | None = None
    session_id: UUID | None = None
    practitioner_id: UUID | None = None
    call_on: date | None = None
    told: tuple[TellOfIncident, ...] = ()


class CorrectIncident(msgspec.Struct, frozen=True, kw_only=True):
    """What should have been reported, and why; what is not given stays."""

    reason: str
    kind: IncidentKind | msgspec.UnsetType = msgspec.UNSET
    what_happened: str | msgspec.UnsetType = msgspec.UNSET
    happened_at: datetime | msgspec.UnsetType = msgspec.UNSET
    done_at_once: str | msgspec.UnsetType = msgspec.UNSET
    facility_id: UUID | msgspec.UnsetType | None = msgspec.UNSET
    session_id: UUID | msgspec.UnsetType | None = msgspec.UNSET
    practitioner_id: UUID | msgspec.UnsetType | None = msgspec.UNSET


class FollowUpIncident(msgspec.Struct, frozen=True, kw_only=True):
    """How the client is since; ``call_on``: when to call them next, None for no call."""

    words: str
    call_on: date | None = None
    at: datetime | None = None


class CloseIncident(msgspec.Struct, frozen=True, kw_only=True):
    """What came of it."""

    words: str


class ReasonOnly(msgspec.Struct, frozen=True, kw_only=True):
    """Why an incident is opened again or was none."""

    reason: str


class TakeStepBack(msgspec.Struct, frozen=True, kw_only=True):
    """A step that did not happen so, and why."""

    step_id: UUID
    reason: str
