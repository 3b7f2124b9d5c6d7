"""Listing clients, by where history and consent stand too, and registering them."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import django_filters
from django.db.models import QuerySet

from clients.consent.models import Consent
from clients.health.models import HealthHistory
from clients.identity.models import Client, ClientFacility
from practice.http.filters import ChoiceFilter, DayFilter, FilterSet


class ClientFacilityFilter(FilterSet):
    """Filters for billing; names are searched in the body of a POST, never here."""

    facility_id = django_filters.UUIDFilter(
        method="at_facility", help_text="Clients who come to one facility."
    )

    class Meta:
        model = Client
        fields = ("facility_id",)

    def at_facility(self, rows: QuerySet[Client], name: str, value: UUID) -> QuerySet[Client]:
        known = ClientFacility.objects.filter(facility_id=value).values("client_id")
        return rows.filter(id__in=known)


class ClientFilter(ClientFacilityFilter):
    """Filters for desk and practitioners: where history and consent stand too."""

    history_status = ChoiceFilter(
        choices=[("none", "none"), ("reported", "reported"), ("reviewed", "reviewed")],
        method="by_history",
        help_text="Where the health history stands, e.g. `reported` for those to be reviewed.",
    )
    consent_ends_from = DayFilter(
        lookup_expr="gte", method="by_consent", help_text="Touch consent ends this day or later."
    )
    consent_ends_to = DayFilter(
        lookup_expr="lte", method="by_consent", help_text="Touch consent ends this day or earlier."
    )

    class Meta:
        model = Client
        fields = ("facility_id", "history_status")

    def by_history(self, rows: QuerySet[Client], name: str, value: str) -> QuerySet[Client]:
        """By the state of the health history."""
        if value == "none":
            return rows.exclude(id__in=HealthHistory.objects.values("id"))
        return rows.filter(id__in=HealthHistory.objects.filter(status=value).values("id"))

    def by_consent(self, rows: QuerySet[Client], name: str, value: date) -> QuerySet[Client]:
        """By the last day of a granted consent."""
        bound = "until__gte" if name.endswith("from") else "until__lte"
        ending = Consent.objects.filter(status="granted", **{bound: value})
        return rows.filter(id__in=ending.values("id"))
