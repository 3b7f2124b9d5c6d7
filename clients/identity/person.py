"""What the sessions floor asks of the client's own record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from dateutil.relativedelta import relativedelta

from clients.identity.domain.events import ContactBy
from clients.identity.domain.state import IDENTITY
from practice.work import loading
from practice.work.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class ClientDetails:
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


def client_details(uow: UnitOfWork, client_id: UUID) -> ClientDetails:
    """Who the client is, under her lock."""
    details = uow.states(client_id, (IDENTITY,))[IDENTITY].details
    if details is None:
        return ClientDetails()
    allowed = details.contact_by is ContactBy.MAIL
    return ClientDetails(details.birth_date, details.email if allowed else "", details.facility_ids)


def client_mail(client_id: UUID) -> tuple[str, str]:
    """The address that she may be written to, empty where she allows no mail, and her zone.

    Read without a lock; after an erasure there is none.
    """
    details = loading.load_states(client_id, (IDENTITY,))[IDENTITY].details
    if details is None:
        return "", "UTC"
    allowed = details.contact_by is ContactBy.MAIL
    return details.email if allowed else "", details.zone
