"""Addresses below /api/v1/."""

from django.urls import path

from clients.health import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/health-history",
        views.HealthHistoryView.as_view(),
        name="health-history",
    ),
    path(
        "clients/<uuid:client_id>/health-history/review",
        views.HealthHistoryReviewView.as_view(),
        name="history-review",
    ),
]
