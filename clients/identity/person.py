"""What the sessions app asks of the client's own record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from dateutil.relativedelta import relativedelta

from clients.identity.domain.contact import ContactBy
from clients.identity.domain.state import IDENTITY
from practice.work.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class ClientDetails:
    """Birth date, the mail address that may be used (empty where the client allows no mail),
    and the facilities where the client is known."""

    birth_date: date | None = None
    mail: str = ""
    facility_ids: tuple[UUID, ...] = ()

    def age_on(self, day: date) -> int | None:
        """Age in whole years; None where the birth date is not on record."""
        if self.birth_date is None:
            return None
        return relativedelta(day, self.birth_date).years


def client_details(uow: UnitOfWork, client_id: UUID) -> ClientDetails:
    """Who the client is, under the lock of their record."""
    details = uow.states(client_id, (IDENTITY,))[IDENTITY].details
    if details is None:
        return ClientDetails()
    allowed = details.contact_by is ContactBy.MAIL
    return ClientDetails(details.birth_date, details.email if allowed else "", details.facility_ids)
