"""Addresses below /api/v1/."""

from django.urls import path

from clients.reminders import notice_views, stop_views, unknown_reply_views, views

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
        "clients/<uuid:client_id>/contact-notices",
        notice_views.ContactNoticeListView.as_view(),
        name="contact-notice-list",
    ),
    path(
        "contact-notices/<uuid:contact_notice_id>/lifting",
        notice_views.ContactNoticeLiftingView.as_view(),
        name="contact-notice-lifting",
    ),
    path(
        "unknown-replies",
        unknown_reply_views.UnknownReplyListView.as_view(),
        name="unknown-reply-list",
    ),
    path(
        "unknown-replies/<uuid:unknown_reply_id>/settlement",
        unknown_reply_views.ReplySettlementView.as_view(),
        name="unknown-reply-settlement",
    ),
    path(
        "no-more-messages/<str:token>",
        stop_views.NoMoreMessagesView.as_view(),
        name="no-more-messages",
    ),
]
