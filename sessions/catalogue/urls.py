"""Addresses below /api/v1/."""

from django.urls import path

from sessions.catalogue import views

urlpatterns = [
    path("stretch-catalogue", views.CatalogueListView.as_view(), name="catalogue-list"),
    path(
        "stretch-catalogue/<slug:code>", views.CatalogueEntryView.as_view(), name="catalogue-detail"
    ),
    path(
        "stretch-catalogue/<slug:code>/versions",
        views.CatalogueVersionListView.as_view(),
        name="catalogue-versions",
    ),
]
