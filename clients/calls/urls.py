"""Addresses below /api/v1/."""

from django.urls import path

from clients.calls import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/calls", views.CallListView.as_view(), name="call-list-of-client"
    ),
]
