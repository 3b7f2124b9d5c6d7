"""The series slice: the series of a client and what became of them as wholes.

Which sessions are in a series, and where each of them stands, is the calendar's to say.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType
from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import existing
from sessions.series.domain import events


@dataclass(frozen=True, slots=True)
class SessionSeries:
    """A series as it was booked, and the moves and cancellations of it since."""

    booked: events.SeriesBooked
    moves: tuple[events.SeriesMoved, ...] = ()
    cancellations: tuple[events.SeriesCancelled, ...] = ()


@dataclass(frozen=True, slots=True)
class SeriesState:
    """Every series of a client, by id."""

    series: MappingProxyType[UUID, SessionSeries]

    def one(self, series_id: UUID) -> SessionSeries:
        """One series; raises Rejected 404 where the client has none with that id."""
        return existing(self.series.get(series_id), "series")


SeriesBuilder = dict[UUID, SessionSeries]


def _freeze(builder: SeriesBuilder) -> SeriesState:
    return SeriesState(MappingProxyType(dict(builder)))


SERIES: Slice[SeriesBuilder, SeriesState] = Slice(
    "session_series", initial=dict, freeze=_freeze, watches=(events,)
)


@SERIES.on(events.SeriesBooked)
def booked(builder: SeriesBuilder, event: events.SeriesBooked, meta: RecordedEvent) -> None:
    builder[event.series_id] = SessionSeries(event)


@SERIES.on(events.SeriesMoved)
def moved(builder: SeriesBuilder, event: events.SeriesMoved, meta: RecordedEvent) -> None:
    if (one := builder.get(event.series_id)) is not None:
        builder[event.series_id] = replace(one, moves=(*one.moves, event))


@SERIES.on(events.SeriesCancelled)
def cancelled(builder: SeriesBuilder, event: events.SeriesCancelled, meta: RecordedEvent) -> None:
    if (one := builder.get(event.series_id)) is not None:
        builder[event.series_id] = replace(one, cancellations=(*one.cancellations, event))
