"""Addresses of this app below /api/v1/, feature by feature."""

from django.urls import include, path

urlpatterns = [
    path("", include("clients.identity.urls")),
    path("", include("clients.calls.urls")),
    path("", include("clients.reminders.urls")),
    path("", include("clients.health.urls")),
    path("", include("clients.orders.urls")),
    path("", include("clients.consent.urls")),
    path("", include("clients.preference.urls")),
    path("", include("clients.papers.urls")),
    path("", include("clients.record.urls")),
]
