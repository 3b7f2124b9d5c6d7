"""What is asked of the stretches: inputs of the decisions. ``at`` is when it happened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from practice.core.terms import Side, Technique
from sessions.catalogue.domain.terms import Dose, PostureKind


@dataclass(frozen=True, kw_only=True)
class PrescribeStretch:
    """A stretch of the catalogue for a side. Doses not given are the catalogue's."""

    stretch: str
    side: Side
    techniques: tuple[Technique, ...] = ()
    doses: tuple[Dose, ...] = ()
    findings: tuple[PostureKind, ...] = ()
    eases_pain: bool = False
    facility_id: UUID | None = None
    session_id: UUID | None = None
    reason: str = ""
    occurred_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class DischargeStretch:
    """Discharge from a stretch. ``reason`` is needed where a reading at goal is missing."""

    prescription_id: UUID
    facility_id: UUID
    zone: str
    reason: str = ""
    occurred_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class AssignHomeExercise:
    """A self-directed exercise assigned to the client."""

    stretch: str
    side: Side
    dose: Dose
    stop_signs: tuple[str, ...]
    assigned_on: date
    assigned_by: UUID
    prescription_id: UUID | None = None
    session_id: UUID | None = None
