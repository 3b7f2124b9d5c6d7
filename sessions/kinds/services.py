"""Adding and changing kinds of session."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import invalid
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.kinds.domain.kind import check_lengths
from sessions.kinds.models import SessionKind

_WHAT = "kind of session of that name"


def kind_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> SessionKind:
    """A new kind; without ``lengths`` it comes in its usual one alone. Raises Rejected 409 where
    the practice has one of that name."""
    values = {**command, "lengths": command.get("lengths") or [command["default_minutes"]]}
    return history.create_row(uow, SessionKind(), _checked(values), _WHAT)


def kind_change(
    uow: UnitOfWork, *, kind_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> SessionKind:
    """Change a kind or take it out of use; sessions that are booked as it stay as they are."""
    row = history.lock_row(SessionKind, kind_id, "kind of session", if_match=if_match)
    before = {"default_minutes": row.default_minutes, "lengths": row.lengths}
    checked = _checked({**before, **command})
    return history.update_row(uow, row, {**command, "lengths": checked["lengths"]}, _WHAT)


def _checked(values: dict[str, Any]) -> dict[str, Any]:
    settings = calendar_settings()
    least, most = settings.shortest_session_minutes, settings.longest_session_minutes
    lengths = sorted(set(values["lengths"]))
    if not all(least <= one <= most for one in lengths):
        raise invalid("lengths", f"A session lasts {least} to {most} minutes here.")
    check_lengths(values["default_minutes"], tuple(lengths))
    return {**values, "lengths": lengths}
