"""What left the practice, as state: it survives the erasure of the record. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from billing.domain.disclosed import RecordDisclosed
from practice.domain.decisions import Slice
from practice.domain.events import Recorded


@dataclass(frozen=True, slots=True)
class Disclosure:
    """One disclosure: when it was made, by whom, and all of its event."""

    at: datetime
    by: UUID
    event: RecordDisclosed


Disclosures = tuple[Disclosure, ...]


def _evolve(builder: list[Disclosure], rec: Recorded) -> None:
    if isinstance(rec.data, RecordDisclosed):
        builder.append(Disclosure(rec.effective_at, rec.actor, rec.data))


DISCLOSURES: Slice[list[Disclosure], Disclosures] = Slice(
    name="disclosures", folds=(RecordDisclosed,), initial=list, evolve=_evolve, freeze=tuple
)
