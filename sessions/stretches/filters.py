"""Re-checks: the front desk's call list."""

from __future__ import annotations

import django_filters
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter
from sessions.catalogue.models import Stretch
from sessions.stretches.domain.prescription_state import OPEN_STATUSES, RecheckStatus, StretchStatus
from sessions.stretches.models import Prescription, Recheck


class RecheckFilter(FilterSet):
    """Filters of the call list."""

    facility_id = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of the practitioner who discharged."
    )
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in RecheckStatus], help_text="E.g. `on_call_list`."
    )
    open = StrictBooleanFilter(
        method="filter_open", help_text="true: those that wait for a reading."
    )
    from_ = DayFilter("due_on", "gte", help_text="Due on this day or later, `2026-05-01`.")
    to_ = DayFilter("due_on", "lte", help_text="Due on this day or earlier.")

    class Meta:
        model = Recheck
        fields = ("facility_id", "practitioner_id", "client_id", "status", "open")

    def filter_open(
        self, rows: QuerySet[Recheck], name: str, value: bool | None
    ) -> QuerySet[Recheck]:
        """Those that are planned or called, or the others."""
        waiting = Q(status__in=OPEN_STATUSES)
        return rows.filter(waiting if value else ~waiting)


def _check_stretch_code(code: str) -> None:
    """Raises ValidationError where the catalogue has no such stretch, in use or not."""
    # PostgreSQL takes no null character, and all validators run.
    if "\x00" in code or not Stretch.objects.filter(code=code).exists():
        raise ValidationError("The catalogue has no stretch of this code.")


class StretchFilter(FilterSet):
    """Filters of prescribed stretches."""

    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in StretchStatus], help_text="E.g. `active`."
    )
    stretch = django_filters.CharFilter(
        validators=[_check_stretch_code], help_text="Code of the stretch."
    )

    class Meta:
        model = Prescription
        fields = ("status", "stretch")
