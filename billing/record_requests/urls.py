"""Addresses below /api/v1/."""

from django.urls import path

from billing.record_requests import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/record-requests",
        views.RecordRequestListView.as_view(),
        name="record-request-list",
    ),
    path(
        "clients/<uuid:client_id>/record-requests/<uuid:record_request_id>",
        views.RecordRequestView.as_view(),
        name="record-request",
    ),
    path(
        "clients/<uuid:client_id>/record-requests/<uuid:record_request_id>/printout",
        views.RecordRequestPrintoutView.as_view(),
        name="record-request-printout",
    ),
]
