"""Addresses below /api/v1/."""

from django.urls import path

from sessions.feeds import views

urlpatterns = [
    path("calendar-feeds", views.FeedListView.as_view(), name="calendar-feed-list"),
    path(
        "calendar-feeds/<uuid:feed_id>", views.FeedDetailView.as_view(), name="calendar-feed-detail"
    ),
    path(
        "calendar-feeds/<str:secret>.ics", views.FeedFileView.as_view(), name="calendar-feed-file"
    ),
]
