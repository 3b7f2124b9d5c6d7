"""The rows of the waiting list, with what each client was offered. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from clients.identity.domain.rows import instant
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.waiting_list.domain import events
from sessions.waiting_list.domain.state import OfferAnswer, WaitingStatus

WAITING_ROWS = Projection("client_sessions.WaitingEntry", watches=(events,))


@WAITING_ROWS.on(events.WaitingAdded)
def added(rows: ProjectedRows, event: events.WaitingAdded, meta: RecordedEvent) -> None:
    wanted = event.wanted
    rows.put(
        event.waiting_id,
        {
            "asked_at": meta.occurred_at,
            "status": WaitingStatus.WAITING,
            "minutes": wanted.minutes,
            "purpose": wanted.purpose,
            "facility_ids": [str(one) for one in wanted.facility_ids],
            "weekdays": list(wanted.weekdays),
            "earliest": wanted.earliest,
            "latest": wanted.latest,
            "first_day": wanted.first_day,
            "last_day": wanted.last_day,
            "note": wanted.note,
            "kind_id": wanted.kind.kind_id if wanted.kind else None,
            "kind_name": wanted.kind.name if wanted.kind else "",
            "offers": [],
        },
    )


@WAITING_ROWS.on(events.WaitingOffered)
def offered(rows: ProjectedRows, event: events.WaitingOffered, meta: RecordedEvent) -> None:
    _answered(rows, event.waiting_id, OfferAnswer.REPLACED, meta)
    if (row := rows.get(event.waiting_id)) is None:
        return
    offer: dict[str, Any] = msgspec.to_builtins(event)
    del offer["waiting_id"]
    told = {"offered_at": instant(meta.occurred_at), "offered_by": str(meta.actor)}
    fresh = {**offer, **told, "answer": OfferAnswer.OPEN.value, "answered_at": None, "reason": ""}
    rows.change(event.waiting_id, offers=[*row["offers"], fresh])


@WAITING_ROWS.on(events.WaitingAccepted)
def accepted(rows: ProjectedRows, event: events.WaitingAccepted, meta: RecordedEvent) -> None:
    _answered(rows, event.waiting_id, OfferAnswer.ACCEPTED, meta)
    rows.change(event.waiting_id, status=WaitingStatus.BOOKED, session_id=event.session_id)


@WAITING_ROWS.on(events.WaitingDeclined)
def declined(rows: ProjectedRows, event: events.WaitingDeclined, meta: RecordedEvent) -> None:
    _answered(rows, event.waiting_id, OfferAnswer.DECLINED, meta, event.reason)


@WAITING_ROWS.on(events.WaitingWithdrawn)
def withdrawn(rows: ProjectedRows, event: events.WaitingWithdrawn, meta: RecordedEvent) -> None:
    _answered(rows, event.waiting_id, OfferAnswer.WITHDRAWN, meta)
    rows.change(event.waiting_id, status=WaitingStatus.WITHDRAWN, ended_reason=event.reason)


def _answered(
    rows: ProjectedRows,
    waiting_id: UUID,
    answer: OfferAnswer,
    meta: RecordedEvent,
    reason: str = "",
) -> None:
    """The offer that is open, if one is, gets its answer."""
    if (row := rows.get(waiting_id)) is None:
        return
    given = {
        "answer": answer.value,
        "answered_at": instant(meta.occurred_at),
        "answered_by": str(meta.actor),
        "reason": reason,
    }
    offers = [
        {**one, **given} if one["answer"] == OfferAnswer.OPEN.value else one
        for one in row["offers"]
    ]
    rows.change(waiting_id, offers=offers)
