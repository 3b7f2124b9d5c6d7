"""Addresses below /api/v1/."""

from django.urls import path

from sessions.reevaluation import views

urlpatterns = [
    path(
        "sessions/<uuid:session_id>/kept-permissions",
        views.KeptPermissionsView.as_view(),
        name="session-kept-permissions",
    ),
]
