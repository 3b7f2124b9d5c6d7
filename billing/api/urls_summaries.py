"""Addresses of summaries under /api/v1/."""

from django.urls import path

from billing.api.resources import disclosures

urlpatterns = [
    path(
        "authorizations/<uuid:authorization_id>/visit-summary",
        disclosures.VisitSummaries.as_view(),
        name="visit-summary-list",
    ),
    path(
        "visit-summaries/<uuid:summary_id>",
        disclosures.VisitSummary.as_view(),
        name="visit-summary",
    ),
    path(
        "clients/<uuid:client_id>/disclosures",
        disclosures.Disclosures.as_view(),
        name="disclosure-list",
    ),
]
