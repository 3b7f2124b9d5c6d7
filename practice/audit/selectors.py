"""Questions on the erasure of a record: how long it is kept, when it was erased."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from uuid import UUID

import msgspec
from django.db.models import Max

from practice.audit.domain.decisions import retained_until
from practice.audit.domain.state import ERASURE
from practice.core.events import registry
from practice.eventstore.models import StoredEvent, StreamHead
from practice.policy.selectors import settings_group
from practice.work.loading import load_states


class RetentionSettings(msgspec.Struct, frozen=True):
    """Group ``retention``: years that a record is kept after its last entry."""

    years_after_last_event: int


def clients_among(ids: Iterable[UUID]) -> frozenset[UUID]:
    """Those of some ids that are a client's, of an erased record too."""
    heads = StreamHead.objects.filter(stream__in=set(ids))
    return frozenset(heads.values_list("stream", flat=True))


def last_entry(client_id: UUID) -> datetime | None:
    """When the last event of a record was entered, those of its erasure apart; None where
    there is none any more."""
    head = StreamHead.objects.filter(stream=client_id).first()
    if head is None:
        return None
    own = registry.names(ERASURE.handles)
    events = StoredEvent.objects.filter(stream=client_id, version__gte=head.starts_at_version)
    found: datetime | None = events.exclude(type__in=own).aggregate(at=Max("recorded_at"))["at"]
    return found


def retention_of(client_id: UUID) -> date | None:
    """The last day on which the practice keeps a record by its present setting."""
    last = last_entry(client_id)
    if last is None:
        return None
    years = settings_group("retention", RetentionSettings)[0].years_after_last_event
    return retained_until(last, years)


def erased_at(client_id: UUID) -> datetime | None:
    """When a record was closed for erasure; None for one that stands or never was."""
    head = StreamHead.objects.filter(stream=client_id, starts_at_version__gt=1).first()
    if head is None:
        return None
    return load_states(client_id, (ERASURE,))[ERASURE].approved_at
