"""Where one prescription and one re-check stand."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from sessions.stretches.domain import events


class StretchStatus(StrEnum):
    """Where a prescription stands. A resumed one is active again."""

    PRESCRIBED = "prescribed"
    ACTIVE = "active"
    DISCHARGED = "discharged"
    ENDED = "ended"


class RecheckStatus(StrEnum):
    """Where a re-check stands."""

    PLANNED = "planned"
    ON_CALL_LIST = "on_call_list"
    MAINTAINED = "maintained"
    REGRESSED = "regressed"
    SKIPPED = "skipped"
    ENDED = "ended"


OPEN_STATUSES = frozenset({RecheckStatus.PLANNED, RecheckStatus.ON_CALL_LIST})


class PrescriptionState(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch prescribed to the client, with the discharge that stands, if any.

    ``started_in``: the session in which it started; ``start_in_error``: why that session was
    entered in error, until the stretch starts anew or a person decides on it again.
    How it stood ``before_resumption`` is kept until the next discharge.
    """

    prescribed: events.StretchPrescribed
    prescribed_at: datetime
    status: StretchStatus = StretchStatus.PRESCRIBED
    started_at: datetime | None = None
    started_in: UUID | None = None
    start_in_error: str = ""
    active_since: datetime | None = None
    discharge: events.StretchDischarged | None = None
    discharged_at: datetime | None = None
    ended_at: datetime | None = None
    resumed: int = 0
    resumption: events.StretchResumed | None = None
    before_resumption: PrescriptionState | None = None

    @property
    def last_discharged(self) -> PrescriptionState:
        """As it was when last discharged: before a resumption, if that came since."""
        return self.before_resumption or self


class RecheckState(msgspec.Struct, frozen=True, kw_only=True):
    """A re-check of the discharge of ``discharged_at``; ``measured`` are what decided it."""

    prescription_id: UUID
    planned: events.PlannedRecheck
    discharged_at: datetime | None = None
    on_call_list: bool = False
    measured: frozenset[UUID] = frozenset()
    planned_next: UUID | None = None
    passed_with: UUID | None = None
    status: RecheckStatus = RecheckStatus.PLANNED
    covered_by_session_id: UUID | None = None
    next_review_at: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether it still waits for a reading."""
        return self.status in OPEN_STATUSES
