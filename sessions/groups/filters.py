"""Filters of the list of classes."""

from __future__ import annotations

import django_filters
from django.db.models import F, QuerySet

from practice.http.filters import FilterSet, StrictBooleanFilter
from sessions.booking.filters import LocalDayFilter
from sessions.calendar.models import ExerciseClass


class ClassFilter(FilterSet):
    """Filters of the list of classes."""

    facility_id = django_filters.UUIDFilter(help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(help_text="Of a practitioner.")
    from_ = LocalDayFilter("local_date", "gte", help_text="First local day, `2026-03-09`.")
    to_ = LocalDayFilter("local_date", "lte", help_text="Last local day, itself included.")
    is_cancelled = StrictBooleanFilter(help_text="false: those that take place.")
    with_free_places = StrictBooleanFilter(
        method="free", help_text="true: those in which a place is free; false: full or called off."
    )

    def free(
        self, rows: QuerySet[ExerciseClass], _name: str, value: bool
    ) -> QuerySet[ExerciseClass]:
        """By whether somebody may still have a place."""
        free = {"is_cancelled": False, "taken__lt": F("capacity")}
        return rows.filter(**free) if value else rows.exclude(**free)

    class Meta:
        model = ExerciseClass
        fields = ("facility_id", "practitioner_id", "is_cancelled")
