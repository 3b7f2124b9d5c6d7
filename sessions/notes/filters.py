"""Filters of the notes with lines outside their permission."""

from __future__ import annotations

import django_filters

from practice.http.filters import DayFilter, FilterSet
from sessions.notes.models import Note


class OutsideNoteFilter(FilterSet):
    """By practitioner and by the local day of the session."""

    practitioner_id = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Signed by a practitioner."
    )
    from_ = DayFilter("local_date", "gte", help_text="Of this local day or later, `2026-03-01`.")
    to_ = DayFilter("local_date", "lte", help_text="Of this local day or earlier.")

    class Meta:
        model = Note
        fields = ("practitioner_id",)
