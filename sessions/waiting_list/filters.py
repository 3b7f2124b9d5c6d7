"""Filters of the waiting list."""

from __future__ import annotations

import django_filters

from practice.http.filters import ChoiceFilter, FilterSet
from sessions.calendar.domain.terms import SessionPurpose
from sessions.waiting_list.domain.state import WaitingStatus
from sessions.waiting_list.models import WaitingEntry


class WaitingFilter(FilterSet):
    """Filters of the waiting list."""

    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    status = ChoiceFilter(
        choices=[(one.value, one.value) for one in WaitingStatus], help_text="E.g. `waiting`."
    )
    purpose = ChoiceFilter(
        choices=[(one.value, one.value) for one in SessionPurpose], help_text="E.g. `evaluation`."
    )

    kind_id = django_filters.UUIDFilter(
        field_name="kind_id", help_text="Of a kind of session of the practice."
    )

    class Meta:
        model = WaitingEntry
        fields = ("client_id", "status", "purpose", "kind_id")
