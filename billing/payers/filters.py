"""Filters of the lists of payers and service codes."""

from __future__ import annotations

from billing.payers.models import Payer, ServiceCode
from practice.http.filters import FilterSet, StrictBooleanFilter


class PayerFilter(FilterSet):
    """Filters of the list of payers."""

    is_active = StrictBooleanFilter(help_text="false for those out of use.")

    class Meta:
        model = Payer
        fields = ("is_active",)


class ServiceCodeFilter(FilterSet):
    """Filters of the list of service codes."""

    is_active = StrictBooleanFilter(help_text="false for those out of use.")
    timed = StrictBooleanFilter(help_text="true for codes that count by the minute.")

    class Meta:
        model = ServiceCode
        fields = ("is_active", "timed")
