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
    path("consent-ages", views.ConsentAgeListView.as_view(), name="consent-age-list"),
    path(
        "consent-ages/<uuid:age_id>",
        views.ConsentAgeDetailView.as_view(),
        name="consent-age-detail",
    ),
]
