"""Filters of the kinds of session."""

from __future__ import annotations

from practice.http.filters import ChoiceFilter, FilterSet, StrictBooleanFilter
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.models import SessionKind


class SessionKindFilter(FilterSet):
    """Filters of the list of kinds."""

    purpose = ChoiceFilter(
        choices=[(one.value, one.value) for one in SessionPurpose], help_text="Of one purpose."
    )
    is_active = StrictBooleanFilter(help_text="false for those not offered any more.")

    class Meta:
        model = SessionKind
        fields = ("purpose", "is_active")
