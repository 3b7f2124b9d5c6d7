"""Filters of the law on record."""

from __future__ import annotations

from practice.core.terms import Activity, Credential
from practice.http.filters import (
    ChoiceFilter,
    FilterSet,
    JurisdictionFilter,
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

    class Meta:
        model = JurisdictionLimit
        fields = ("jurisdiction", "credential", "activity")


class ConsentAgeFilter(FilterSet):
    """Filters of the list of ages of consent."""

    jurisdiction = JurisdictionFilter(help_text="ISO 3166-2 code, e.g. `US-AL`.")

    class Meta:
        model = ConsentAge
        fields = ("jurisdiction",)
