"""Addresses below /api/v1/."""

from django.urls import path

from clients.preference import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/provider-preference",
        views.ProviderPreferenceView.as_view(),
        name="preference",
    ),
    path(
        "clients/<uuid:client_id>/provider-preference/exceptions",
        views.PreferenceExceptionListView.as_view(),
        name="preference-exception-list",
    ),
]
