"""What of billing stands open in a client's record."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.domain.terms import CoverageStatus
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import in_state
from billing.payers.selectors import practice_today
from practice.core.reasons import Reason

SOURCE = "billing"


def open_billing_reasons(client_id: UUID) -> list[Reason]:
    """Running authorizations, units that wait for a choice, visits that are not or only partly
    covered: asked before a record is erased, for none of it can be settled afterwards."""
    visits = Visit.objects.filter(client_id=client_id)
    return [
        *_running(client_id),
        *_count(
            "units_await_override",
            visits.filter(awaiting_override=True).count(),
            "whose units wait for a person's choice",
        ),
        *_count(
            "visits_not_covered",
            visits.exclude(covered=CoverageStatus.COVERED.value).count(),
            "not covered, or only partly",
        ),
    ]


def _running(client_id: UUID) -> list[Reason]:
    rows = in_state(Authorization.objects.filter(client_id=client_id), "open", practice_today())
    return [
        Reason(
            code="authorization_running",
            text=f"Authorization {number} runs until {last_day}.",
            source=SOURCE,
        )
        for number, last_day in rows.order_by("last_day", "id").values_list("number", "last_day")
    ]


def _count(code: str, number: int, what: str) -> list[Reason]:
    if not number:
        return []
    visits = "1 visit is" if number == 1 else f"{number} visits are"
    text = f"{visits} on billing's list: {what}."
    return [Reason(code=code, text=text, source=SOURCE)]
