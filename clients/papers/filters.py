"""Filters of papers."""

from __future__ import annotations

from datetime import date

import django_filters
from django.db.models import Q, QuerySet

from clients.papers.domain.terms import PaperKind, PaperStatus
from clients.papers.models import Paper
from clients.papers.selectors import LocalDays, paper_settings
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter


class PaperFilter(FilterSet):
    """By whom, which and where it stands; overdue and expiring by the facility's day."""

    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    kind = ChoiceFilter(
        choices=[(one.value, one.value) for one in PaperKind], help_text="E.g. `clearance`."
    )
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in PaperStatus], help_text="E.g. `waiting`."
    )
    overdue = StrictBooleanFilter(
        method="filter_overdue", help_text="true: waited for after the day it was needed."
    )
    expiring = StrictBooleanFilter(
        method="filter_expiring", help_text="true: its last day is near (`expiring_days`)."
    )
    from_ = DayFilter("needed_by", "gte", help_text="Needed on this day or later, `2026-05-01`.")
    to_ = DayFilter("needed_by", "lte", help_text="Needed on this day or earlier.")

    class Meta:
        model = Paper
        fields = ("client_id", "kind", "status", "overdue", "expiring")

    def filter_overdue(self, rows: QuerySet[Paper], name: str, value: bool) -> QuerySet[Paper]:
        """As ``is_overdue`` says it of one."""
        late = LocalDays().matching(lambda today: Q(needed_by__lt=today))
        found = Q(status=PaperStatus.WAITING) & late
        return rows.filter(found if value else ~found)

    def filter_expiring(self, rows: QuerySet[Paper], name: str, value: bool) -> QuerySet[Paper]:
        """As ``is_expiring`` says it of one."""
        lead = paper_settings().expiring_days
        found = LocalDays().matching(lambda today: _ends_within(today, lead))
        return rows.filter(found if value else ~(found & Q(expires_on__isnull=False)))


def _ends_within(today: date, lead: int) -> Q:
    last = date.fromordinal(today.toordinal() + lead)
    return Q(expires_on__gte=today, expires_on__lte=last)
