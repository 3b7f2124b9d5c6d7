"""The command that keeps whether a client said that they come."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.confirming import ConfirmSession, decide_confirm
from sessions.booking.services.sessions import SLICES, SessionCommandResult, locked_session
from sessions.calendar.domain.state import CALENDAR


def session_confirm(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> SessionCommandResult:
    """Keep that a session is confirmed, or not any more, as in ConfirmSession."""
    row = locked_session(uow, session_id, if_match)
    confirm = ConfirmSession(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_confirm(states[CALENDAR], confirm, ctx),
    )
    return SessionCommandResult(row.id, row.client_id, outcome)
