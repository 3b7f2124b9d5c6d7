"""What left the practice, as state: it survives the erasure of the record. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from billing.summaries.domain.events import RecordDisclosed
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class DisclosureState:
    """One disclosure: when it was made, by whom, and all of its event."""

    occurred_at: datetime
    by: UUID
    event: RecordDisclosed


DisclosuresState = tuple[DisclosureState, ...]


def _evolve(builder: list[DisclosureState], rec: RecordedEvent) -> None:
    if isinstance(rec.data, RecordDisclosed):
        builder.append(DisclosureState(rec.occurred_at, rec.actor, rec.data))


DISCLOSURES: Slice[list[DisclosureState], DisclosuresState] = Slice(
    name="disclosures", folds=(RecordDisclosed,), initial=list, evolve=_evolve, freeze=tuple
)
