"""What a client's authorizations have left, and how many of their days are booked already."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.models import Authorization
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
    booked = set(
        Session.objects.filter(
            client_id=client_id, status__in=TIME_HOLDING_STATUSES, local_date__gte=day
        ).values_list("local_date", flat=True)
    )
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
            days_booked=sum(one.starts_on <= other <= one.last_day for other in booked),
        )
        for one in held
    ]
