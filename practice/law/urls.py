"""Addresses below /api/v1/."""

from django.urls import path

from practice.law import views

urlpatterns = [
    path("jurisdiction-limits", views.JurisdictionLimitListView.as_view(), name="limit-list"),
    path(
        "jurisdiction-limits/<uuid:limit_id>",
        views.JurisdictionLimitDetailView.as_view(),
        name="limit-detail",
    ),
]
