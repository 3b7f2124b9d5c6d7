"""What higher floors want to be told, and the shapes they give their settings.

A floor above registers here from its ``registration.py``; nothing here knows it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any
from uuid import UUID

if TYPE_CHECKING:
    from practice.work.unit_of_work import UnitOfWork

settings_changed: list[Callable[[UnitOfWork], None]] = []
"""Called within the transaction after a change of settings, limits, policies, licences,
competences, practitioners or facilities: sessions/ plans its sweep of future sessions here."""

setting_shapes: dict[str, type[Any]] = {}
"""The struct of each group of settings: a changed value must fit it."""


upcoming_session_counters: list[Callable[[UUID | None], int]] = []
"""How many sessions are still to come: of one practitioner, or with None in all."""


def count_upcoming_sessions(practitioner_id: UUID | None = None) -> int:
    """Booked sessions still to come, as the floors above count them."""
    return sum(count(practitioner_id) for count in upcoming_session_counters)


def upcoming_session_counter(count: Callable[[UUID | None], int]) -> Callable[[UUID | None], int]:
    """Decorator: ``count(practitioner_id)`` is asked by ``count_sessions_ahead``."""
    if count not in upcoming_session_counters:
        upcoming_session_counters.append(count)
    return count


def on_settings_changed(callback: Callable[[UnitOfWork], None]) -> Callable[[UnitOfWork], None]:
    """Decorator: call ``act(work)`` after every such change."""
    if callback not in settings_changed:
        settings_changed.append(callback)
    return callback


def register_settings(group: str, shape: type[Any]) -> None:
    """Name the struct of a group, so that the owner's changes are checked against it."""
    setting_shapes[group] = shape


def notify_settings_changed(uow: UnitOfWork) -> None:
    """Tell everyone who registered that something that judges sessions has changed."""
    for callback in settings_changed:
        callback(uow)
