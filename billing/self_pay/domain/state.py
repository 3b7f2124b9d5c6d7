"""The slice of who said that they pay for themself, and from which day on. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from uuid import UUID

from billing.self_pay.domain import events
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class SelfPayStatement:
    """One statement: whether the client pays for themself from its day on."""

    id: UUID
    self_paying: bool


@dataclass(frozen=True, slots=True)
class SelfPayState:
    """What was stated, by the day from which it holds; of one day the statement made last."""

    by_day: Mapping[date, SelfPayStatement] = field(default_factory=dict)

    def on(self, day: date) -> bool:
        """Whether the client pays for themself on a day; nobody does who never said so."""
        earlier = [since for since in self.by_day if since <= day]
        return self.by_day[max(earlier)].self_paying if earlier else False


SELF_PAY: Slice[dict[date, SelfPayStatement], SelfPayState] = Slice(
    "self_pay",
    initial=dict,
    freeze=lambda by_day: SelfPayState(MappingProxyType(dict(by_day))),
    watches=(events,),
)


@SELF_PAY.on(events.SelfPayStated)
def stated(
    builder: dict[date, SelfPayStatement], event: events.SelfPayStated, meta: RecordedEvent
) -> None:
    builder[event.starts_on] = SelfPayStatement(event.statement_id, event.self_paying)
