"""Filters of the lists of notes."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from practice.clock import clock
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter
from sessions.calendar.models import Session
from sessions.notes.domain.co_signatures import OPEN
from sessions.notes.models import Note, NoteDraft
from sessions.notes.selectors.lists import overdue_before


class UnsignedNoteFilter(FilterSet):
    """Filters of notes that are not signed."""

    practitioner_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    from_ = DayFilter("local_date", "gte", help_text="Of this local day or later, `2026-03-01`.")
    to_ = DayFilter("local_date", "lte", help_text="Of this local day or earlier.")
    overdue = StrictBooleanFilter(
        method="of_age", help_text="true for those past the time that the practice gives."
    )

    class Meta:
        model = Session
        fields = ("practitioner_id",)

    def of_age(self, rows: QuerySet[Session], _name: str, value: Any) -> QuerySet[Session]:
        """By when the session ended."""
        limit = overdue_before(clock.now())
        return rows.filter(ends_at__lte=limit) if value else rows.filter(ends_at__gt=limit)


class WaitingWordsFilter(FilterSet):
    """Filters of words that wait."""

    practitioner_id = django_filters.UUIDFilter(help_text="Of one practitioner.")

    class Meta:
        model = NoteDraft
        fields = ("practitioner_id",)


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


class AwaitingCoSignatureFilter(FilterSet):
    """Filters of notes that wait for a co-signature."""

    practitioner_id = django_filters.UUIDFilter(help_text="Signed by a practitioner.")
    to_co_sign = StrictBooleanFilter(
        help_text="true: of practitioners whom the caller supervised that day; false: all others."
    )
    status = ChoiceFilter(
        field_name="co_signature",
        choices=[(one.value, one.value) for one in OPEN],
        help_text="`waiting`, `returned` or `addendum_since`.",
    )
    from_ = DayFilter("local_date", "gte", help_text="Of this local day or later, `2026-03-01`.")
    to_ = DayFilter("local_date", "lte", help_text="Of this local day or earlier.")

    class Meta:
        model = Note
        fields = ("practitioner_id",)
