"""What left the practice, as state: it survives the erasure of the record. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from billing.summaries.domain import events
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class DisclosureState:
    """One disclosure: when it was made, by whom, and all of its event."""

    occurred_at: datetime
    by: UUID
    event: events.RecordDisclosed


DisclosuresState = tuple[DisclosureState, ...]


DISCLOSURES: Slice[list[DisclosureState], DisclosuresState] = Slice(
    "disclosures", initial=list, freeze=tuple, watches=(events,)
)


@DISCLOSURES.on(events.RecordDisclosed)
def disclosed(
    builder: list[DisclosureState], event: events.RecordDisclosed, meta: RecordedEvent
) -> None:
    builder.append(DisclosureState(meta.occurred_at, meta.actor, event))
