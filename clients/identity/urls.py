"""Addresses below /api/v1/."""

from django.urls import path

from clients.identity import contact_views, views

urlpatterns = [
    path("clients/search", views.ClientSearchView.as_view(), name="client-search"),
    path("clients/possible-doubles", views.PossibleDoublesView.as_view(), name="possible-doubles"),
    path("clients/<uuid:client_id>", views.ClientDetailView.as_view(), name="client-detail"),
    path(
        "clients/<uuid:client_id>/emergency-contacts",
        contact_views.EmergencyContactListView.as_view(),
        name="emergency-contact-list",
    ),
    path(
        "clients/<uuid:client_id>/emergency-contacts/<uuid:emergency_contact_id>",
        contact_views.EmergencyContactDetailView.as_view(),
        name="emergency-contact-detail",
    ),
    path(
        "clients/<uuid:client_id>/unsuitable-times",
        contact_views.UnsuitableTimeListView.as_view(),
        name="unsuitable-time-list",
    ),
    path(
        "clients/<uuid:client_id>/unsuitable-times/<uuid:unsuitable_time_id>",
        contact_views.UnsuitableTimeDetailView.as_view(),
        name="unsuitable-time-detail",
    ),
]
