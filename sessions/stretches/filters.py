"""Re-checks: the front desk's call list."""

from __future__ import annotations

import django_filters
from django.db.models import Q, QuerySet

from practice.http.filters import FilterSet
from sessions.stretches.domain.state import OPEN_STATUSES, RecheckStatus, StretchStatus
from sessions.stretches.models import Prescription, Recheck


class RecheckFilter(FilterSet):
    """Filters of the call list."""

    facility_id = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of the practitioner who discharged."
    )
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    status = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in RecheckStatus], help_text="E.g. `called`."
    )
    open = django_filters.BooleanFilter(
        method="filter_open", help_text="true: those that wait for a reading."
    )
    due_by = django_filters.DateFilter(
        field_name="due_on", lookup_expr="lte", help_text="Due on or before, `2026-05-01`."
    )

    class Meta:
        model = Recheck
        fields = ("facility_id", "practitioner_id", "client_id", "status", "open", "due_by")

    def filter_open(
        self, rows: QuerySet[Recheck], name: str, value: bool | None
    ) -> QuerySet[Recheck]:
        """Those that are planned or called, or the others."""
        waiting = Q(status__in=OPEN_STATUSES)
        return rows.filter(waiting if value else ~waiting)


class StretchFilter(FilterSet):
    """Filters of a programme."""

    status = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in StretchStatus], help_text="E.g. `active`."
    )
    stretch = django_filters.CharFilter(help_text="Code of the stretch.")

    class Meta:
        model = Prescription
        fields = ("status", "stretch")
