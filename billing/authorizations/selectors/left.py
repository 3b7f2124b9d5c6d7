"""What a client's authorizations have left, and on how many days what is booked draws on them."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.models import Authorization
from billing.authorizations.selectors.eligibility import draws, payer_facts
from billing.payers.selectors import payer_names
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.desk.selectors.coverage import CoverageLeft


def authorizations_left(client_id: UUID, day: date) -> list[CoverageLeft]:
    """Those that are open on a day or begin later, the first to end first."""
    held = list(
        Authorization.objects.filter(
            client_id=client_id, voided_at=None, last_day__gte=day
        ).order_by("last_day", "id")
    )
    names = payer_names(held)
    booked = list(
        Session.objects.filter(
            client_id=client_id, status__in=TIME_HOLDING_STATUSES, local_date__gte=day
        ).only("local_date", "practitioner_id", "credential", "class_id")
    )
    known = payer_facts({one.payer_id for one in held})
    return [
        CoverageLeft(
            authorization_id=one.pk,
            number=one.number,
            payer_name=names.get(one.payer_id, ""),
            starts_on=one.starts_on,
            last_day=one.last_day,
            visits_left=one.visits_left,
            units_left=one.units_left,
            minutes_left=one.minutes_left,
            days_booked=len({other.local_date for other in booked if draws(known, one, other)}),
        )
        for one in held
    ]
