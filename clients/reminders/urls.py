"""Addresses below /api/v1/."""

from django.urls import path

from clients.reminders import stop_views, views

urlpatterns = [
    path("reminders", views.ReminderListView.as_view(), name="reminder-list"),
    path(
        "reminders/<uuid:reminder_id>/done", views.ReminderDoneView.as_view(), name="reminder-done"
    ),
    path(
        "clients/<uuid:client_id>/reminder-wordings",
        views.ReminderWordingsView.as_view(),
        name="reminder-wordings",
    ),
    path(
        "no-more-messages/<str:token>",
        stop_views.NoMoreMessagesView.as_view(),
        name="no-more-messages",
    ),
]
