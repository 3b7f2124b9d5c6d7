"""A record of one kind of event, as long as the benchmark needs it.

One event has the fields of a reading; the state keeps the last one of each movement.
The peers fold and write the same.
"""

from __future__ import annotations

import sys
from uuid import UUID, uuid4

from practice.core.decisions import Context, Decided, Slice, States
from practice.core.events import Event, RecordedEvent, event
from practice.core.projections import ProjectedRows, Projection

MOVEMENTS = ("flexion", "extension", "abduction", "internal_rotation", "external_rotation")
RATER = UUID(int=4711)


@event("bench.measured")
class Measured(Event, frozen=True, kw_only=True):
    """One reading, with as many fields as the program's own."""

    reading_id: UUID
    session_id: UUID | None = None
    movement: str
    side: str
    motion: str = "active"
    degrees: int
    position: str = "supine"
    instrument: str = "goniometer"
    rater_id: UUID
    pain: int | None = None
    assisted: bool = False
    explanation: str = ""


def measured(number: int, reading_id: UUID | None = None) -> Measured:
    """The reading of that number in a stream: foretellable, none like the one before."""
    return Measured(
        reading_id=reading_id or uuid4(),
        movement=MOVEMENTS[number % len(MOVEMENTS)],
        side=("left", "right")[number % 2],
        degrees=60 + number % 110,
        rater_id=RATER,
        pain=number % 11,
    )


class Builder:
    """The last reading of each movement and how many there were."""

    def __init__(self) -> None:
        self.latest: dict[tuple[str, str], int] = {}
        self.count = 0


LATEST: Slice[Builder, tuple[dict[tuple[str, str], int], int]] = Slice(
    "bench latest",
    initial=Builder,
    freeze=lambda one: (dict(one.latest), one.count),
    watches=(sys.modules[__name__],),
)


@LATEST.on(Measured)
def counted(builder: Builder, event: Measured, meta: RecordedEvent) -> None:
    """Keep the last reading of each movement."""
    builder.latest[event.movement, event.side] = event.degrees
    builder.count += 1


def take(states: States, context: Context) -> Decided:
    """Decide the next reading from the number there are."""
    return [measured(states[LATEST][1], context.new_id())]


MEASURED_ROWS = Projection("bench.Measured", watches=(sys.modules[__name__],))


@MEASURED_ROWS.on(Measured)
def measured_row(rows: ProjectedRows, event: Measured, meta: RecordedEvent) -> None:
    """One row for each reading."""
    rows.put(
        event.reading_id,
        {
            "movement": event.movement,
            "side": event.side,
            "degrees": event.degrees,
            "position": event.position,
            "instrument": event.instrument,
            "rater_id": event.rater_id,
            "pain": event.pain,
            "at": meta.occurred_at,
        },
    )
