"""Addresses below /api/v1/."""

from django.urls import path

from clients.record import list_views, views

urlpatterns = [
    path("clients", list_views.ClientListView.as_view(), name="client-list"),
    path(
        "clients/<uuid:client_id>/history", views.RecordHistoryView.as_view(), name="record-history"
    ),
    path(
        "clients/<uuid:client_id>/record", views.RecordAsKnownView.as_view(), name="record-as-known"
    ),
]
