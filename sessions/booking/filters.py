"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

from typing import Any

import django_filters

from practice.http.filters import FilterSet
from sessions.calendar.domain.state import SessionStatus
from sessions.calendar.models import Session


class SessionFilter(FilterSet):
    """Filters of the list of sessions."""

    facility_id = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of a practitioner."
    )
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    date_from = django_filters.DateFilter(
        field_name="local_date", lookup_expr="gte", help_text="First local day, `2026-03-09`."
    )
    date_to = django_filters.DateFilter(
        field_name="local_date", lookup_expr="lte", help_text="Last local day, itself included."
    )
    status = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in SessionStatus], help_text="E.g. `booked`."
    )
    flagged = django_filters.BooleanFilter(help_text="true: those that narrowed since planned.")

    class Meta:
        model = Session
        fields = ("facility_id", "practitioner_id", "client_id", "status", "flagged")

    @classmethod
    def get_filters(cls) -> Any:
        """``from`` and ``to`` are words of the language, so they are named here."""
        filters = super().get_filters()
        filters["from"] = filters.pop("date_from")
        filters["to"] = filters.pop("date_to")
        return filters
