"""Addresses below /api/v1/."""

from django.urls import path

from sessions.series import views

urlpatterns = [
    path("session-series", views.SeriesListView.as_view(), name="series-list"),
    path("session-series/<uuid:series_id>", views.SeriesDetailView.as_view(), name="series-detail"),
    path(
        "session-series/<uuid:series_id>/move", views.SeriesMoveView.as_view(), name="series-move"
    ),
    path(
        "session-series/<uuid:series_id>/cancellation",
        views.SeriesCancellationView.as_view(),
        name="series-cancellation",
    ),
]
