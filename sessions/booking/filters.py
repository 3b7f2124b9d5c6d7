"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

import django_filters
from django.db.models import QuerySet

from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session


class SessionFilter(FilterSet):
    """Filters of the list of sessions."""

    facility_id = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of a practitioner."
    )
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    from_ = DayFilter("local_date", "gte", help_text="First local day, `2026-03-09`.")
    to_ = DayFilter("local_date", "lte", help_text="Last local day, itself included.")
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in SessionStatus], help_text="E.g. `booked`."
    )
    flagged = StrictBooleanFilter(help_text="true: those that narrowed since planned.")

    def filter_queryset(self, queryset: QuerySet[Session]) -> QuerySet[Session]:
        """Sessions entered in error are found only where they are asked for."""
        found = super().filter_queryset(queryset)
        if self.form.cleaned_data.get("status"):
            return found
        return found.exclude(status=SessionStatus.ENTERED_IN_ERROR)

    class Meta:
        model = Session
        fields = ("facility_id", "practitioner_id", "client_id", "status", "flagged")
