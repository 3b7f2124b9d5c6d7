"""Addresses below /api/v1/."""

from django.urls import path

from clients.identity import views

urlpatterns = [
    path("clients/search", views.ClientSearchView.as_view(), name="client-search"),
    path("clients/possible-doubles", views.PossibleDoublesView.as_view(), name="possible-doubles"),
    path("clients/<uuid:client_id>", views.ClientDetailView.as_view(), name="client-detail"),
]
