"""Filters of the law on record."""

from __future__ import annotations

from django.db.models import QuerySet

from practice.core.terms import Activity, Credential
from practice.http.filters import (
    ChoiceFilter,
    FilterSet,
    JurisdictionFilter,
    StrictBooleanFilter,
)
from practice.law.models import ConsentAge, JurisdictionLimit


class JurisdictionLimitFilter(FilterSet):
    """Filters of the list of limits."""

    jurisdiction = JurisdictionFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    credential = ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Limits of one credential."
    )
    activity = ChoiceFilter(
        choices=[(a.value, a.value) for a in Activity], help_text="Limits on one activity."
    )

    verified = StrictBooleanFilter(
        method="filter_verified", help_text="false: those that nobody of the practice verified."
    )

    class Meta:
        model = JurisdictionLimit
        fields = ("jurisdiction", "credential", "activity", "verified")

    def filter_verified(
        self, rows: QuerySet[JurisdictionLimit], name: str, value: bool
    ) -> QuerySet[JurisdictionLimit]:
        """Those with a day of verification, or the others."""
        return rows.filter(verified_on__isnull=not value)


class ConsentAgeFilter(FilterSet):
    """Filters of the list of ages of consent."""

    jurisdiction = JurisdictionFilter(help_text="ISO 3166-2 code, e.g. `US-AL`.")

    class Meta:
        model = ConsentAge
        fields = ("jurisdiction",)
