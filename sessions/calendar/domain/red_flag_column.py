"""The red flags that were said or lifted in a session, as its row keeps them. Pure.

Whether one stands is judged by the state of the client's sessions, never by this column: it
says what was said and who lifted what, for the owner's month.
"""

from __future__ import annotations

from uuid import UUID

from clients.identity.domain.rows import instant
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows
from sessions.calendar.domain import events


def red_flags_said(
    rows: ProjectedRows,
    event: events.SessionArrived | events.ArrivalWordsReviewed,
    meta: RecordedEvent,
) -> None:
    """Those that an arrival or a review brought."""
    at = instant(meta.occurred_at)
    _add(rows, event.session_id, [{"flag": one.value, "said_at": at} for one in event.red_flags])


def red_flag_lifted(rows: ProjectedRows, event: events.RedFlagCleared, meta: RecordedEvent) -> None:
    """By whom and when."""
    lifted = {
        "flag": event.red_flag.value,
        "lifted_at": instant(meta.occurred_at),
        "lifted_by": str(event.practitioner_id),
    }
    _add(rows, event.session_id, [lifted])


def _add(rows: ProjectedRows, session_id: UUID, more: list[dict[str, str]]) -> None:
    row = rows.get(session_id)
    if row is not None and more:
        rows.change(session_id, red_flags=[*(row.get("red_flags") or []), *more])
