"""Addresses of this app below /api/v1/, feature by feature."""

from django.urls import include, path

urlpatterns = [
    path("", include("billing.payers.urls")),
    path("", include("billing.self_pay.urls")),
    path("", include("billing.authorizations.urls")),
    path("", include("billing.visits.urls")),
    path("", include("billing.progress_notes.urls")),
    path("", include("billing.summaries.urls")),
    path("", include("billing.record_requests.urls")),
]
