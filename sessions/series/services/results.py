"""What a command of a series did, and how a session of it is written."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import DecidedSession, write
from sessions.series.domain.answers import Occurrence, OccurrenceResult


@dataclass(frozen=True)
class SeriesResult:
    """What a command did to a series: what became of each session, in order of time."""

    series_id: UUID
    client_id: UUID
    occurrences: tuple[Occurrence, ...]


def written(uow: UnitOfWork, decided: DecidedSession, result: OccurrenceResult) -> Occurrence:
    """Write what was decided of one session; where nothing was, it is unchanged."""
    write(uow, decided)
    slot = decided.facts.slot
    return Occurrence(
        result=result if decided.events else OccurrenceResult.UNCHANGED,
        starts_at=slot.starts_at,
        zone=slot.zone,
        session_id=decided.facts.session_id,
        warnings=decided.facts.warnings,
    )
