"""Addresses below /api/v1/."""

from django.urls import path

from billing.summaries import views

urlpatterns = [
    path(
        "authorizations/<uuid:authorization_id>/visit-summary",
        views.VisitSummaryListView.as_view(),
        name="visit-summary-list",
    ),
    path(
        "visit-summaries/<uuid:summary_id>",
        views.VisitSummaryFileView.as_view(),
        name="visit-summary",
    ),
    path(
        "clients/<uuid:client_id>/visit-summaries",
        views.ClientVisitSummaryListView.as_view(),
        name="client-visit-summary-list",
    ),
    path(
        "clients/<uuid:client_id>/disclosures",
        views.DisclosureListView.as_view(),
        name="disclosure-list",
    ),
]
