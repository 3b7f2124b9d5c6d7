"""Filters of the list of authorizations."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import in_state, running_out
from billing.payers.selectors import practice_today
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet, StrictBooleanFilter

AUTHORIZATION_STATES = ("upcoming", "open", "past", "ended", "voided")


class AuthorizationFilter(FilterSet):
    """Filters of the list of authorizations."""

    payer_id = django_filters.UUIDFilter(help_text="Of one payer.")
    client_id = django_filters.UUIDFilter(help_text="Of one client.")
    from_ = DayFilter("last_day", "gte", help_text="Whose last day is this day or later.")
    to_ = DayFilter("last_day", "lte", help_text="Whose last day is this day or earlier.")
    state = ChoiceFilter(
        choices=[(one, one) for one in AUTHORIZATION_STATES],
        method="by_state",
        help_text="`upcoming`, `open`, `past` by today's date, `ended` early, or `voided`.",
    )
    running_out = StrictBooleanFilter(
        method="by_rest", help_text="true: open, with few visits, units or days left."
    )
    over_used = StrictBooleanFilter(help_text="true: more was used than is authorized.")

    class Meta:
        model = Authorization
        fields = ("payer_id", "client_id", "over_used")

    def by_state(self, rows: QuerySet[Authorization], name: str, value: str) -> Any:
        """Authorizations in a state."""
        return in_state(rows, value, practice_today())

    def by_rest(self, rows: QuerySet[Authorization], name: str, value: bool) -> Any:
        """Those that run out, or all others."""
        short = running_out(rows, practice_today())
        return short if value else rows.exclude(pk__in=short.values("pk"))
