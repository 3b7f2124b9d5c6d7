"""Which parts of the session a client's payer pays for: the suggested split shows the others."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.models import Authorization
from billing.payers.selectors import payer_rules
from practice.core.terms import Credential, SessionPart


def paid_parts(
    client_id: UUID, day: date, credential: Credential
) -> tuple[SessionPart, ...] | None:
    """The parts that are mapped to a code of the payer whose authorization covers the day.

    None where the client has no authorization that day and pays in person. Empty for a
    credential whose time the payer does not pay.
    """
    covering = Authorization.objects.filter(
        client_id=client_id, starts_on__lte=day, last_day__gte=day, voided_at__isnull=True
    ).order_by("coverage_order", "last_day", "number", "id")
    payer_id = covering.values_list("payer_id", flat=True).first()
    if payer_id is None:
        return None
    rules = payer_rules({payer_id})[payer_id].on(day)
    if credential not in rules.paid_credentials:
        return ()
    return tuple(part for part in SessionPart if (part, credential) in rules.codes)
