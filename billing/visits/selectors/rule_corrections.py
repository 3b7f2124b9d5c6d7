"""What a payer's corrected rules change of visits, before anything is changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Visit
from billing.authorizations.selectors.authorizations import billing_settings
from billing.payers.selectors import payer_get, payer_rules
from billing.visits.domain.rule_corrections import (
    CorrectedPeriod,
    CorrectedVisit,
    corrected_visits,
    version_of,
)
from practice.core.decisions import States
from practice.core.reasons import Rejected
from practice.work.loading import load_states


@dataclass(frozen=True)
class Corrections:
    """The visits that would change, by client, and the version of all of them together."""

    by_client: dict[UUID, list[CorrectedVisit]]

    @property
    def visits(self) -> list[CorrectedVisit]:
        """All of them, client by client."""
        return [one for some in self.by_client.values() for one in some]

    @property
    def version(self) -> str:
        """To be given back with the act."""
        return version_of(self.visits)


def clients_of_period(period: CorrectedPeriod) -> list[UUID]:
    """Clients with visits of a payer in a period; 404 for an unknown payer, 409 where there are
    more visits than one act may calculate again."""
    payer_get(period.payer_id)
    rows: QuerySet[Visit] = Visit.objects.filter(payer_id=period.payer_id)
    if period.first is not None:
        rows = rows.filter(local_date__gte=period.first)
    if period.last is not None:
        rows = rows.filter(local_date__lte=period.last)
    most, count = billing_settings().recalculated_visits, rows.count()
    if count > most:
        raise Rejected(
            "too_many_visits",
            f"{count} visits of this payer lie in these days; one act takes {most}. Give fewer "
            "days with from and to.",
        )
    return sorted(set(rows.values_list("client_id", flat=True)))


def preview_corrections(period: CorrectedPeriod) -> Corrections:
    """What would change now; nothing is written."""
    return find_corrections(
        period,
        clients_of_period(period),
        lambda client_id: load_states(client_id, (AUTHORIZATION_BALANCE,)),
    )


def find_corrections(
    period: CorrectedPeriod, client_ids: Iterable[UUID], states_of: Callable[[UUID], States]
) -> Corrections:
    """The visits of some clients that the payer's rules concern, from the states that a caller
    loads: an act looks at those clients whom it locked, and no others."""
    found = {}
    for client_id in client_ids:
        balance: AuthorizationBalance = states_of(client_id)[AUTHORIZATION_BALANCE]
        payers = payer_rules({one.payer_id for one in balance.authorizations.values()})
        if corrected := corrected_visits(balance, period, payers):
            found[client_id] = corrected
    return Corrections(found)
