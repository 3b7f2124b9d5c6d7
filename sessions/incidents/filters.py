"""Filters of safety incidents."""

from __future__ import annotations

import django_filters
from django.db.models import QuerySet

from practice.http.filters import ChoiceFilter, FilterSet, InstantFilter
from sessions.incidents.domain.terms import IncidentKind, IncidentStatus
from sessions.incidents.models import Incident


class IncidentFilter(FilterSet):
    """By place, person, kind, time and where the follow-up stands."""

    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    facility_id = django_filters.UUIDFilter(
        field_name="facility_id", help_text="That happened at a facility."
    )
    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="While a practitioner worked with the client."
    )
    session_id = django_filters.UUIDFilter(field_name="session_id", help_text="Of a session.")
    kind = ChoiceFilter(
        choices=[(one.value, one.value) for one in IncidentKind], help_text="E.g. `fall`."
    )
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in IncidentStatus], help_text="E.g. `open`."
    )
    since = InstantFilter("happened_at", "gte", help_text="At this instant or later.")
    until = InstantFilter("happened_at", "lt", help_text="Before this instant.")

    def filter_queryset(self, queryset: QuerySet[Incident]) -> QuerySet[Incident]:
        """Those entered in error are found only where they are asked for."""
        found = super().filter_queryset(queryset)
        if self.form.cleaned_data.get("status"):
            return found
        return found.exclude(status=IncidentStatus.IN_ERROR)

    class Meta:
        model = Incident
        fields = ("client_id", "facility_id", "practitioner_id", "session_id", "kind", "status")
