"""What happened to a client by date: every kind of event in one list, narrowed and in pages.

Nothing is judged or kept here. The rows are those of the log, narrowed without being opened;
what a page shows is opened, in one query, and said by the sentences of the events' own features.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import QuerySet

from clients.identity.models import Client
from clients.record.selectors import shown_events
from practice.core.appspec import installed
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent, registry
from practice.core.localtime import day_bounds, local_day
from practice.eventstore.models import StoredEvent
from practice.people_and_places.models.staff import Staff
from practice.work import loading

MOST_PRINTED = 500
"""So many entries stand on a page to print; of more, the latest."""


def history_kinds() -> list[str]:
    """The kinds of entries: the features whose events have sentences."""
    return sorted(one.name for one in installed.event_texts)


def history_by_date(
    client_id: UUID | None,
    *,
    kind: str | None = None,
    from_: date | None = None,
    to: date | None = None,
    practitioner_id: UUID | None = None,
) -> QuerySet[StoredEvent]:
    """The rows of the log of a client, narrowed; none for None.

    ``kind``: one of ``history_kinds``; ``from_`` and ``to``: days of the client's own calendar on
    which it happened; ``practitioner_id``: by whose account it was recorded.
    """
    if client_id is None:
        return StoredEvent.objects.none()
    rows = loading.stored_events(client_id)
    if kind is not None:
        rows = rows.filter(type__in=_types_of(kind))
    if practitioner_id is not None:
        accounts = Staff.objects.filter(practitioner_id=practitioner_id)
        rows = rows.filter(actor__in=accounts.values("pk"))
    zone = zone_of_client(client_id)
    if from_ is not None:
        rows = rows.filter(occurred_at__gte=day_bounds(from_, zone)[0])
    if to is not None:
        rows = rows.filter(occurred_at__lt=day_bounds(to, zone)[1])
    return rows


def opened(client_id: UUID, rows: Sequence[StoredEvent]) -> list[dict[str, Any]]:
    """Some of these rows as shown: day, kind, sentence, who, and the ids of what it is about."""
    events = loading.load_versions(client_id, [row.version for row in rows])
    zone = zone_of_client(client_id)
    return [
        {
            **shown,
            "day": local_day(one.occurred_at, zone),
            **_kind_of(one),
            "about": _about(one),
        }
        for one, shown in zip(events, shown_events(events), strict=True)
    ]


def to_print(client_id: UUID, rows: QuerySet[StoredEvent]) -> tuple[list[dict[str, Any]], bool]:
    """The latest of these rows in order of happening, and whether there are more before them."""
    found = list(rows.order_by("-occurred_at", "-recorded_at", "-version")[: MOST_PRINTED + 1])
    return opened(client_id, found[:MOST_PRINTED][::-1]), len(found) > MOST_PRINTED


def zone_of_client(client_id: UUID) -> str:
    """On whose calendar the days of a client's record are; UTC for one without details."""
    return Client.objects.filter(pk=client_id).values_list("zone", flat=True).first() or "UTC"


def _texts_named(kind: str) -> EventTexts:
    return next(one for one in installed.event_texts if one.name == kind)


def _types_of(kind: str) -> list[str]:
    return [registry.by_class[one].name for one in _texts_named(kind).handles]


def kind_label(kind: str) -> str:
    """What a reader calls one of ``history_kinds``."""
    return _texts_named(kind).label


def _kind_of(event: RecordedEvent) -> dict[str, str]:
    found = (one for one in installed.event_texts if type(event.data) in one.handlers)
    texts = next(found, None)
    return {"kind": texts.name if texts else "", "kind_label": texts.label if texts else ""}


def _about(event: RecordedEvent) -> dict[str, UUID]:
    """The ids that stand in the event itself, e.g. ``session_id``."""
    fields = msgspec.structs.asdict(event.data)
    return {
        name: value
        for name, value in fields.items()
        if name.endswith("_id") and isinstance(value, UUID)
    }
