"""What a command of a series did, and how a session of it is written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from uuid import UUID

from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.freed import WaitingFits, free_time_of_state, who_waits_for
from sessions.booking.services.sessions import DecidedSession, write
from sessions.calendar.domain.session_state import SessionState
from sessions.series.domain.answers import Occurrence, OccurrenceResult
from sessions.series.selectors import series_settings


@dataclass(frozen=True)
class SeriesResult:
    """What a command did to a series: what became of each session, in order of time; ``freed``: who
    waits for the times that came free, by the session that had each."""

    series_id: UUID
    client_id: UUID
    occurrences: tuple[Occurrence, ...]
    freed: Mapping[UUID, WaitingFits] = field(default_factory=dict)


def who_waits_for_all(
    uow: UnitOfWork, before: Iterable[SessionState], left: Iterable[UUID]
) -> dict[UUID, WaitingFits]:
    """Who waits for the times that sessions ``left``, by the session's id, as they stood before:
    the soonest of them, so many as the practice looks at at once."""
    gone = set(left)
    freed = sorted((one for one in before if one.id in gone), key=lambda one: one.starts_at)
    soonest = freed[: series_settings().most_freed_times]
    return {one.id: who_waits_for(uow, free_time_of_state(one)) for one in soonest}


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
        closed=decided.facts.closed,
    )
