"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import django_filters
from django.db.models import QuerySet

from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session

FURTHEST_ZONE = timedelta(hours=24)
"""No zone has been as far from UTC as this, on whatever side."""


class LocalDayFilter(DayFilter):
    """A bound of the local day, whatever the zone and its clock changes.

    The day alone decides. The bound of the instant, wide enough for every zone, leaves out no
    row of these days; it lets the indexes by start, in whose order the list is, begin and end
    near them.
    """

    def filter(self, qs: QuerySet[Session], value: date | None) -> Any:
        """The rows of these days."""
        found = super().filter(qs, value)
        if value is None:
            return found
        midnight = datetime.combine(value, time(), UTC)
        if self.lookup_expr == "gte":
            return found.filter(starts_at__gte=midnight - FURTHEST_ZONE)
        return found.filter(starts_at__lt=midnight + timedelta(days=1) + FURTHEST_ZONE)


class SessionFilter(FilterSet):
    """Filters of the list of sessions."""

    facility_id = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of a practitioner."
    )
    room_id = django_filters.UUIDFilter(field_name="room_id", help_text="In a room.")
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    series_id = django_filters.UUIDFilter(field_name="series_id", help_text="Of a series.")
    class_id = django_filters.UUIDFilter(field_name="class_id", help_text="Places of a class.")
    kind_id = django_filters.UUIDFilter(
        field_name="kind_id", help_text="Booked as a kind of session of the practice."
    )
    from_ = LocalDayFilter("local_date", "gte", help_text="First local day, `2026-03-09`.")
    to_ = LocalDayFilter("local_date", "lte", help_text="Last local day, itself included.")
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in SessionStatus], help_text="E.g. `booked`."
    )
    red_flags = StrictBooleanFilter(
        method="filter_red_flags", help_text="true: in which a red flag was said or lifted."
    )
    flagged = StrictBooleanFilter(help_text="true: those that narrowed since planned.")
    entered_elsewhere = StrictBooleanFilter(
        help_text="true: entered late with a practitioner who did not work at that facility."
    )

    def filter_red_flags(
        self, rows: QuerySet[Session], name: str, value: bool
    ) -> QuerySet[Session]:
        """Those in which one was said or lifted, or the others."""
        return rows.exclude(red_flags=[]) if value else rows.filter(red_flags=[])

    def filter_queryset(self, queryset: QuerySet[Session]) -> QuerySet[Session]:
        """Sessions entered in error are found only where they are asked for."""
        found = super().filter_queryset(queryset)
        if self.form.cleaned_data.get("status"):
            return found
        return found.exclude(status=SessionStatus.ENTERED_IN_ERROR)

    class Meta:
        model = Session
        fields = (
            "facility_id",
            "practitioner_id",
            "room_id",
            "client_id",
            "series_id",
            "class_id",
            "kind_id",
            "status",
            "flagged",
            "red_flags",
            "entered_elsewhere",
        )
