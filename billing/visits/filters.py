"""Filters of the list of visits."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
from billing.authorizations.models import Visit
from billing.authorizations.selectors.outside_period import visits_outside_period
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter


class VisitFilter(FilterSet):
    """Filters of the list of visits."""

    covered = ChoiceFilter(
        choices=[(one.value, one.value) for one in CoverageStatus],
        method="by_coverage",
        help_text="`covered`, `partly` or `not_covered`, which leaves out visits of clients who "
        "pay for themself unless `self_paying` is asked for too.",
    )
    reason = ChoiceFilter(
        choices=[(one.value, one.value) for one in UncoveredReason],
        method="by_reason",
        help_text="With this reason among those why something is not covered; self-payers as for "
        "`covered`.",
    )
    awaiting_override = StrictBooleanFilter(help_text="true: a person must choose.")
    self_paying = StrictBooleanFilter(
        help_text="true: of clients who pay for themself on the day of the visit."
    )
    outside_period = StrictBooleanFilter(
        method="by_period",
        help_text="true: using an authorization whose period does not hold their day any more.",
    )
    discipline = ChoiceFilter(
        choices=[(one.value, one.value) for one in Discipline], help_text="Of one discipline."
    )
    payer_id = django_filters.UUIDFilter(help_text="Of one payer.")
    client_id = django_filters.UUIDFilter(help_text="Of one client.")
    authorization_id = django_filters.UUIDFilter(help_text="Drawn from one authorization.")
    from_ = DayFilter("local_date", "gte", help_text="On this day or later.")
    to_ = DayFilter("local_date", "lte", help_text="On this day or earlier.")

    class Meta:
        model = Visit
        fields = (
            "awaiting_override",
            "discipline",
            "payer_id",
            "client_id",
            "authorization_id",
        )

    def by_coverage(self, rows: QuerySet[Visit], name: str, value: str) -> Any:
        """Visits covered so far."""
        return self._without_self_payers(rows.filter(covered=value))

    def by_period(self, rows: QuerySet[Visit], name: str, value: bool) -> Any:
        """Visits that an amended or ended period left outside, or all others."""
        outside = visits_outside_period(rows)
        return outside if value else rows.exclude(pk__in=outside.values("pk"))

    def by_reason(self, rows: QuerySet[Visit], name: str, value: str) -> Any:
        """Visits with a reason among theirs."""
        found = rows.filter(uncovered_reason_codes__contains=f"|{value}|")
        return self._without_self_payers(found)

    def _without_self_payers(self, rows: QuerySet[Visit]) -> QuerySet[Visit]:
        """Nobody waits for a payer where the client pays; unless it is asked for."""
        if self.form.cleaned_data.get("self_paying") is not None:
            return rows
        paid_by_client: Any = {"self_paying": True, "covered": CoverageStatus.NOT}
        return rows.exclude(**paid_by_client)
