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
        help_text="`covered`, `partly` or `not_covered`.",
    )
    reason = ChoiceFilter(
        choices=[(one.value, one.value) for one in UncoveredReason],
        method="by_reason",
        help_text="With this reason among those why something is not covered.",
    )
    awaiting_override = StrictBooleanFilter(help_text="true: a person must choose.")
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
            "covered",
            "awaiting_override",
            "discipline",
            "payer_id",
            "client_id",
            "authorization_id",
        )

    def by_period(self, rows: QuerySet[Visit], name: str, value: bool) -> Any:
        """Visits that an amended or ended period left outside, or all others."""
        outside = visits_outside_period(rows)
        return outside if value else rows.exclude(pk__in=outside.values("pk"))

    def by_reason(self, rows: QuerySet[Visit], name: str, value: str) -> Any:
        """Visits with a reason among theirs."""
        return rows.filter(uncovered_reason_codes__contains=f"|{value}|")
