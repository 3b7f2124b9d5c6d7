"""Visits that would be covered now, before anything is changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from billing.authorizations.domain.state import (
    AUTHORIZATION_BALANCE,
    AuthorizationBalance,
    AuthorizationState,
    UsedAmounts,
)
from billing.authorizations.domain.terms import CoverageStatus
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import billing_settings
from billing.payers.selectors import payer_rules
from billing.visits.domain.coverage import CoverableVisits, CoverSelection, coverable_visits
from billing.visits.domain.rule_corrections import CorrectedVisit, version_of
from practice.core.decisions import States
from practice.core.reasons import Rejected
from practice.work.loading import load_states


@dataclass(frozen=True, slots=True)
class AmountsLeft:
    """What an authorization has left once all visits shown are covered; None = not limited."""

    authorization: AuthorizationState
    visits: int | None
    units: int | None
    minutes: int | None


@dataclass(frozen=True)
class Coverage:
    """The visits that would be covered, by client, and the version of all of them together."""

    by_client: dict[UUID, CoverableVisits]

    @property
    def visits(self) -> list[CorrectedVisit]:
        """All of them, client by client."""
        return [one for some in self.by_client.values() for one in some.visits]

    @property
    def version(self) -> str:
        """To be given back with the act."""
        return version_of(self.visits)

    def authorization(self, client_id: UUID, visit: CorrectedVisit) -> AuthorizationState:
        """The authorization that would cover a visit."""
        covering = visit.after.authorization_id
        return self.by_client[client_id].balance.authorizations[covering]  # type: ignore[index]

    @property
    def left(self) -> list[AmountsLeft]:
        """What each authorization that would be used has left after all of them."""
        made = {}
        for client_id, some in self.by_client.items():
            for visit in some.visits:
                one = self.authorization(client_id, visit)
                made[one.id] = _left(some.balance, one)
        return list(made.values())


def clients_to_cover(selection: CoverSelection) -> list[UUID]:
    """Clients with visits that are not or only partly covered on a day that an authorization of
    theirs covers; 409 where there are more such visits than one act may calculate."""
    covering: QuerySet[Authorization] = Authorization.objects.filter(
        client_id=OuterRef("client_id"),
        voided_at__isnull=True,
        starts_on__lte=OuterRef("local_date"),
        last_day__gte=OuterRef("local_date"),
    )
    bounds = {
        "client_id": selection.client_id,
        "local_date__gte": selection.first,
        "local_date__lte": selection.last,
        "pk__in": selection.visit_ids,
    }
    if selection.payer_id is not None:
        covering = covering.filter(payer_id=selection.payer_id)
    if selection.authorization_id is not None:
        covering = covering.filter(pk=selection.authorization_id)
    rows = (
        Visit.objects.exclude(covered=CoverageStatus.COVERED.value)
        .filter(**{name: value for name, value in bounds.items() if value is not None})
        .filter(Exists(covering))
    )
    most, count = billing_settings().recalculated_visits, rows.count()
    if count > most:
        raise Rejected(
            "too_many_visits",
            f"{count} visits are to be looked at; one act takes {most}. Name a client, a payer, "
            "an authorization, or fewer days with from and to.",
        )
    return sorted(set(rows.values_list("client_id", flat=True)))


def preview_coverage(selection: CoverSelection) -> Coverage:
    """What would be covered now; nothing is written."""
    return find_coverage(
        selection,
        clients_to_cover(selection),
        lambda client_id: load_states(client_id, (AUTHORIZATION_BALANCE,)),
    )


def find_coverage(
    selection: CoverSelection, client_ids: Iterable[UUID], states_of: Callable[[UUID], States]
) -> Coverage:
    """The visits of some clients that would be covered, from the states that a caller loads."""
    found = {}
    for client_id in client_ids:
        balance: AuthorizationBalance = states_of(client_id)[AUTHORIZATION_BALANCE]
        coverable = _coverable(balance, selection)
        if coverable.visits:
            found[client_id] = coverable
    return Coverage(found)


def count_coverable(balance: AuthorizationBalance, authorization_id: UUID) -> int:
    """How many of a client's visits an authorization would cover now."""
    return len(_coverable(balance, CoverSelection(authorization_id=authorization_id)).visits)


def _coverable(balance: AuthorizationBalance, selection: CoverSelection) -> CoverableVisits:
    payers = payer_rules({one.payer_id for one in balance.authorizations.values()})
    return coverable_visits(balance, selection, payers)


def _left(balance: AuthorizationBalance, one: AuthorizationState) -> AmountsLeft:
    used, terms = balance.used.get(one.id, UsedAmounts()), one.terms

    def rest(limit: int | None, spent: int) -> int | None:
        return None if limit is None else limit - spent

    return AmountsLeft(
        one,
        visits=rest(terms.visits, used.visits),
        units=rest(terms.units, used.units + used.reserved),
        minutes=rest(terms.minutes, used.minutes + used.reserved_minutes),
    )
