"""Filters of the list of summaries that were sent."""

from __future__ import annotations

import django_filters

from billing.summaries.models import Disclosure
from practice.http.filters import FilterSet


class SentSummaryFilter(FilterSet):
    """Filters of a client's summaries."""

    authorization_id = django_filters.UUIDFilter(help_text="Of one authorization.")

    class Meta:
        model = Disclosure
        fields = ("authorization_id",)
