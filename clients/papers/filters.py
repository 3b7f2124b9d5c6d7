"""Filters of papers."""

from __future__ import annotations

import django_filters
from django.db.models import Q, QuerySet

from clients.papers.domain.terms import PaperKind, PaperStatus
from clients.papers.models import Paper
from clients.papers.selectors import LocalDays, papers_expiring
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
        found = papers_expiring(LocalDays())
        return rows.filter(found if value else ~(found & Q(expires_on__isnull=False)))
