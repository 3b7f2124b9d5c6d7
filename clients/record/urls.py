"""Addresses below /api/v1/."""

from django.urls import path

from clients.record import by_date_views, list_views, views

urlpatterns = [
    path("clients", list_views.ClientListView.as_view(), name="client-list"),
    path(
        "clients/<uuid:client_id>/history", views.RecordHistoryView.as_view(), name="record-history"
    ),
    path(
        "clients/<uuid:client_id>/history/by-date",
        by_date_views.HistoryByDateView.as_view(),
        name="history-by-date",
    ),
    path(
        "clients/<uuid:client_id>/history/printout",
        by_date_views.HistoryPrintoutView.as_view(),
        name="history-printout",
    ),
    path(
        "clients/<uuid:client_id>/record", views.RecordAsKnownView.as_view(), name="record-as-known"
    ),
]
