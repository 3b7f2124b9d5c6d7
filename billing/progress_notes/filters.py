"""Filters of the list of progress notes that are due."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from billing.authorizations.domain.terms import Discipline
from billing.payers.selectors import practice_today
from billing.progress_notes.domain.terms import PeriodStatus
from billing.progress_notes.models import TreatmentPeriod
from billing.progress_notes.selectors.periods import asked_for, standing_so
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet

NOT_FAR_OFF = (PeriodStatus.OVERDUE, PeriodStatus.DUE, PeriodStatus.COMING)


class ProgressNoteDueFilter(FilterSet):
    """Filters of the list of progress notes that are due."""

    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in PeriodStatus],
        method="by_status",
        help_text="`coming`, `due`, `overdue`, or `running` for those that are far off; without "
        "it all but those.",
    )
    discipline = ChoiceFilter(
        choices=[(one.value, one.value) for one in Discipline], help_text="Of one discipline."
    )
    payer_id = django_filters.UUIDFilter(
        method="by_payer", help_text="Asked for by one payer; by its rule alone."
    )
    client_id = django_filters.UUIDFilter(help_text="Of one client.")
    from_ = DayFilter("begins_on", "gte", help_text="Whose period began on this day or later.")
    to_ = DayFilter("begins_on", "lte", help_text="Whose period began on this day or earlier.")

    class Meta:
        model = TreatmentPeriod
        fields = ("discipline", "client_id")

    def by_payer(self, rows: QuerySet[TreatmentPeriod], name: str, value: Any) -> Any:
        """Asked for with the status."""
        return rows

    def by_status(self, rows: QuerySet[TreatmentPeriod], name: str, value: str) -> Any:
        """Asked for with the payer."""
        return rows

    def filter_queryset(self, queryset: QuerySet[TreatmentPeriod]) -> Any:
        """By status and payer together: what a payer asks is by its rule."""
        rows = super().filter_queryset(queryset)
        given = self.form.cleaned_data
        today, payer_id = practice_today(), given.get("payer_id")
        if given.get("status"):
            return standing_so(rows, today, PeriodStatus(given["status"]), payer_id)
        return asked_for(rows, today, NOT_FAR_OFF, payer_id)
