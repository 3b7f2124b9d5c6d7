"""Filters of closures, absences and extra hours."""

from __future__ import annotations

import django_filters

from practice.core.terms import AbsenceKind
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter
from practice.people_and_places.models.exceptions import Absence, Closure, ExtraHours


class ClosureFilter(FilterSet):
    """Filters of the list of closures."""

    facility_id = django_filters.UUIDFilter(help_text="Of one facility.")
    from_ = DayFilter("last_day", "gte", help_text="Those that reach to this local day or beyond.")
    to_ = DayFilter("first_day", "lte", help_text="Those that begin by this local day.")
    in_force = StrictBooleanFilter(
        "lifted_at", "isnull", help_text="false for those that were lifted."
    )

    class Meta:
        model = Closure
        fields = ("facility_id",)


class AbsenceFilter(FilterSet):
    """Filters of the list of absences."""

    practitioner_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    kind = ChoiceFilter(
        choices=[(one.value, one.value) for one in AbsenceKind], help_text="E.g. `ill`."
    )
    from_ = DayFilter("last_day", "gte", help_text="Those that reach to this local day or beyond.")
    to_ = DayFilter("first_day", "lte", help_text="Those that begin by this local day.")
    in_force = StrictBooleanFilter(
        "lifted_at", "isnull", help_text="false for those that were lifted."
    )

    class Meta:
        model = Absence
        fields = ("practitioner_id", "kind")


class ExtraHoursFilter(FilterSet):
    """Filters of the list of extra hours."""

    practitioner_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    facility_id = django_filters.UUIDFilter(help_text="At one facility.")
    from_ = DayFilter("day", "gte", help_text="From this local day on.")
    to_ = DayFilter("day", "lte", help_text="Until this local day, included.")

    class Meta:
        model = ExtraHours
        fields = ("practitioner_id", "facility_id")
