"""What the sessions floor asks of the client's own record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from dateutil.relativedelta import relativedelta

from clients.domain.events import ContactBy
from clients.domain.identity import IDENTITY
from clients.domain.permissions.settings import PermissionSettings
from practice.eventlog import loading
from practice.eventlog.runner import Work
from practice.selectors import settings_group
from sessions.domain.hour.history import Regions


@dataclass(frozen=True)
class Person:
    """Birth date, the address she may be written to (empty where she allows no mail), and
    the facilities where she is known."""

    birth_date: date | None = None
    mail: str = ""
    facility_ids: tuple[UUID, ...] = ()

    def age_on(self, day: date) -> int | None:
        """Her age in whole years."""
        if self.birth_date is None:
            return None
        return relativedelta(day, self.birth_date).years


def person_of(work: Work, client_id: UUID) -> Person:
    """Who the client is, under her lock."""
    details = work.states(client_id, (IDENTITY,))[IDENTITY].details
    if details is None:
        return Person()
    allowed = details.contact_by is ContactBy.MAIL
    return Person(details.birth_date, details.email if allowed else "", details.facility_ids)


def mail_of(client_id: UUID) -> tuple[str, str]:
    """The address that she may be written to, empty where she allows no mail, and her zone.

    Read without a lock; after an erasure there is none.
    """
    details = loading.load(client_id, (IDENTITY,))[IDENTITY].details
    if details is None:
        return "", "UTC"
    allowed = details.contact_by is ContactBy.MAIL
    return details.email if allowed else "", details.zone


def operation_regions() -> Regions:
    """Which regions each kind of operation touches: the practice's table."""
    return settings_group("permissions", PermissionSettings)[0].operation_regions


def fatigue_warning() -> int:
    """From which fatigue (0 to 10) on the practice goes easy."""
    return settings_group("permissions", PermissionSettings)[0].fatigue_warning
