"""Addresses below /api/v1/."""

from django.urls import path

from sessions.incidents import views

OF_CLIENT = "clients/<uuid:client_id>/incidents"
ONE = f"{OF_CLIENT}/<uuid:incident_id>"

urlpatterns = [
    path("incidents", views.IncidentOverviewView.as_view(), name="incident-overview"),
    path(OF_CLIENT, views.ClientIncidentListView.as_view(), name="incident-list"),
    path(f"{ONE}/told", views.IncidentToldView.as_view(), name="incident-told"),
    path(f"{ONE}/follow-up", views.IncidentFollowUpView.as_view(), name="incident-follow-up"),
    path(f"{ONE}/closing", views.IncidentClosingView.as_view(), name="incident-closing"),
    path(f"{ONE}/reopening", views.IncidentReopeningView.as_view(), name="incident-reopening"),
    path(f"{ONE}/correction", views.IncidentCorrectionView.as_view(), name="incident-correction"),
    path(f"{ONE}/in-error", views.IncidentInErrorView.as_view(), name="incident-in-error"),
    path(
        f"{ONE}/step-in-error",
        views.IncidentStepInErrorView.as_view(),
        name="incident-step-in-error",
    ),
]
