"""Addresses below /api/v1/."""

from django.urls import path

from sessions.replanning import views

urlpatterns = [
    path(
        "session-replans",
        views.SessionReplanListView.as_view(),
        name="session-replans",
    ),
]
