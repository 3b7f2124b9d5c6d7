"""What the clients floor is asked to do, as plain values."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.domain.events import ConsentScope, Obtained
from clients.domain.health import HistoryContent, Limit, Site
from clients.domain.terms import Giver, OrderKind, OrderSubject, PreferenceScope
from practice.domain.terms import Gender, Mode, Technique

# Identity


class ChangeDetails(msgspec.Struct, frozen=True, kw_only=True):
    """Some of the client's details, by name; what is not named stays."""

    changes: dict[str, Any]


# Health history


class ReportHistory(msgspec.Struct, frozen=True, kw_only=True):
    """A health history as told to the desk, by whom, and when (default now)."""

    content: HistoryContent
    told_by: str = ""
    occurred_at: datetime | None = None


class ReviewHistory(msgspec.Struct, frozen=True, kw_only=True):
    """The history as a practitioner found it."""

    content: HistoryContent
    occurred_at: datetime | None = None


# Orders


class FileOrder(msgspec.Struct, frozen=True, kw_only=True):
    """A paper from outside, as it reads. See ``clients.domain.health.Order``."""

    kind: OrderKind
    giver: Giver
    given_by: str
    given_on: date
    subjects: tuple[OrderSubject, ...] = ()
    sites: tuple[Site, ...] = ()
    techniques: tuple[Technique, ...] = ()
    limits: tuple[Limit, ...] = ()
    widest: Mode = Mode.SELF_DIRECTED
    from_date: date | None = None
    expires_on: date | None = None
    text: str = ""


class LiftOrder(msgspec.Struct, frozen=True, kw_only=True):
    """An order lifted by name and date."""

    order_id: UUID
    lifted_by: str
    lifted_on: date | None = None
    reason: str = ""


# Touch consent


class RecordConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A touch consent. ``until`` None: as long as the practice's setting says."""

    scope: ConsentScope
    obtained: Obtained
    until: date | None = None
    occurred_at: datetime | None = None


class EndConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A consent declined or withdrawn, with her reason if she gave one."""

    reason: str = ""
    occurred_at: datetime | None = None


# Provider preference


class StatePreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom she prefers: a gender or named people; neither: anyone."""

    scope: PreferenceScope = PreferenceScope.ALL_WORK
    gender: Gender | None = None
    practitioners: tuple[UUID, ...] = ()
    occurred_at: datetime | None = None


class AgreeException(msgspec.Struct, frozen=True, kw_only=True):
    """Her own exception: one session (by id or day) or until a day, and how she agreed."""

    practitioner_id: UUID
    agreed_how: str
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None
    occurred_at: datetime | None = None
