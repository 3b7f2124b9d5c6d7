"""What higher floors want to be told, and the shapes they give their settings.

A floor above registers here from its ``registration.py``; nothing here knows it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any
from uuid import UUID

from practice.domain.reasons import Reason

if TYPE_CHECKING:
    from practice.eventlog.runner import Work

settings_changed: list[Callable[[Work], None]] = []
"""Called within the transaction after a change of settings, limits, policies, licences,
competences, practitioners or facilities: sessions/ plans its sweep of future sessions here."""

shapes: dict[str, type[Any]] = {}
"""The struct of each group of settings: a changed value must fit it."""


before_erasure: list[Callable[[UUID], list[Reason]]] = []
"""What stands open in a client's record, as the floors above know it: warnings, no refusals."""


def on_before_erasure(tell: Callable[[UUID], list[Reason]]) -> Callable[[UUID], list[Reason]]:
    """Decorator: ``tell(client_id)`` is asked before a record is erased."""
    if tell not in before_erasure:
        before_erasure.append(tell)
    return tell


def open_business(client_id: UUID) -> list[Reason]:
    """Everything that stands open in a client's record."""
    return [reason for tell in before_erasure for reason in tell(client_id)]


sessions_ahead: list[Callable[[UUID | None], int]] = []
"""How many sessions are still to come: of one practitioner, or with None in all."""


def count_sessions_ahead(practitioner_id: UUID | None = None) -> int:
    """Booked sessions still to come, as the floors above count them."""
    return sum(count(practitioner_id) for count in sessions_ahead)


def counts_sessions_ahead(count: Callable[[UUID | None], int]) -> Callable[[UUID | None], int]:
    """Decorator: ``count(practitioner_id)`` is asked by ``count_sessions_ahead``."""
    if count not in sessions_ahead:
        sessions_ahead.append(count)
    return count


def on_settings_changed(act: Callable[[Work], None]) -> Callable[[Work], None]:
    """Decorator: call ``act(work)`` after every such change."""
    if act not in settings_changed:
        settings_changed.append(act)
    return act


def register_settings(group: str, shape: type[Any]) -> None:
    """Name the struct of a group, so that the owner's changes are checked against it."""
    shapes[group] = shape


def announce(work: Work) -> None:
    """Tell everyone who registered that something that judges sessions has changed."""
    for act in settings_changed:
        act(work)
