"""Addresses below /api/v1/."""

from django.urls import path

from sessions.assessment import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/permissions",
        views.ClientPermissionsView.as_view(),
        name="client-permissions",
    ),
]
