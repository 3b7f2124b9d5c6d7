"""Addresses below /api/v1/."""

from django.urls import path

from sessions.travel import views

urlpatterns = [
    path("travel-times", views.TravelTimeListView.as_view(), name="travel-time-list"),
    path(
        "travel-times/<uuid:travel_time_id>",
        views.TravelTimeDetailView.as_view(),
        name="travel-time-detail",
    ),
]
