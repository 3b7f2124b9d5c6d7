"""Addresses below /api/v1/."""

from django.urls import path

from sessions.kinds import views

urlpatterns = [
    path("session-kinds", views.SessionKindListView.as_view(), name="session-kind-list"),
    path(
        "session-kinds/<uuid:kind_id>",
        views.SessionKindDetailView.as_view(),
        name="session-kind-detail",
    ),
]
