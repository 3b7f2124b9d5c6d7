"""Filters of the held slots."""

from __future__ import annotations

import django_filters

from practice.http.filters import FilterSet
from sessions.held_slots.models import HeldSlot


class HeldSlotFilter(FilterSet):
    """Filters of the list of held slots."""

    facility_id = django_filters.UUIDFilter(help_text="Those at one facility.")
    practitioner_id = django_filters.UUIDFilter(help_text="Those of one practitioner.")

    class Meta:
        model = HeldSlot
        fields = ("facility_id", "practitioner_id")
