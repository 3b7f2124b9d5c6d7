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
    """The parts mapped to a code of the payer that an authorization of the day covers.

    None where the client has no authorization that day and pays in person. Empty for a
    credential whose time the payer does not pay.
    """
    covering = Authorization.objects.filter(
        client_id=client_id, starts_on__lte=day, last_day__gte=day, voided_at__isnull=True
    ).order_by("coverage_order", "last_day", "number", "id")
    authorizations = list(covering)
    if not authorizations:
        return None
    payer_id = authorizations[0].payer_id
    rules = payer_rules({payer_id})[payer_id].on(day)
    if credential not in rules.paid_credentials:
        return ()
    of_payer = [one for one in authorizations if one.payer_id == payer_id]
    return tuple(
        part
        for part in SessionPart
        if (code := rules.codes.get((part, credential))) is not None
        and any(_names(one, code) for one in of_payer)
    )


def _names(authorization: Authorization, code: str) -> bool:
    """Whether an authorization covers a code: one without lines covers every code."""
    named = {line["code"] for line in authorization.lines}
    return not named or code in named
