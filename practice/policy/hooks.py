"""What features above are told of a change of settings, and asked before one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from uuid import UUID

from practice.core.appspec import ExtensionPoint

if TYPE_CHECKING:
    from practice.work.unit_of_work import UnitOfWork

SETTINGS_CHANGED = ExtensionPoint["Callable[[UnitOfWork], None]"]("settings changed")
"""Called within the transaction after a change of settings, limits, policies, licences,
competences, practitioners or facilities."""

EVALUATED_BY = ExtensionPoint[str]("groups of settings by which sessions are evaluated")
"""A change of any other group leaves what is permitted as it is."""

UPCOMING_SESSION_COUNTS = ExtensionPoint[Callable[[UUID | None], int]]("upcoming sessions")
"""``count(practitioner_id)``: sessions still to come, of one practitioner or with None in all."""

UPCOMING_SESSIONS_AT = ExtensionPoint[Callable[[UUID, UUID | None], int]](
    "upcoming sessions at a facility"
)
"""``count(facility_id, practitioner_id)``: sessions still to come at one facility, of one
practitioner or with None of all."""

UPCOMING_SESSIONS_IN = ExtensionPoint[Callable[[UUID], int]]("upcoming sessions in a room")
"""``count(room_id)``: sessions still to come in one room."""


def count_upcoming_sessions(practitioner_id: UUID | None = None) -> int:
    """Booked sessions still to come, as the features above count them."""
    return sum(count(practitioner_id) for count in UPCOMING_SESSION_COUNTS.answers)


def count_upcoming_sessions_at(facility_id: UUID, practitioner_id: UUID | None = None) -> int:
    """The same at one facility, of all or of one practitioner."""
    return sum(count(facility_id, practitioner_id) for count in UPCOMING_SESSIONS_AT.answers)


def count_upcoming_sessions_in(room_id: UUID) -> int:
    """The same in one room."""
    return sum(count(room_id) for count in UPCOMING_SESSIONS_IN.answers)


def evaluates_sessions(group: str) -> bool:
    """Whether what is permitted in a session depends on a group of settings."""
    return group in EVALUATED_BY.answers


def notify_settings_changed(uow: UnitOfWork) -> None:
    """Tell the features above that something by which sessions are evaluated has changed."""
    for callback in SETTINGS_CHANGED.answers:
        callback(uow)
