"""Addresses below /api/v1/."""

from django.urls import path

from sessions.booking.views import attendance, open_times, sessions

urlpatterns = [
    path(
        "sessions/<uuid:session_id>/no-show",
        attendance.SessionNoShowView.as_view(),
        name="session-no-show",
    ),
    path(
        "sessions/<uuid:session_id>/arrival",
        attendance.SessionArrivalView.as_view(),
        name="session-arrival",
    ),
    path(
        "sessions/<uuid:session_id>/opening",
        attendance.SessionOpeningView.as_view(),
        name="session-opening",
    ),
    path(
        "sessions/<uuid:session_id>/stop", attendance.SessionStopView.as_view(), name="session-stop"
    ),
    path("open-times", open_times.OpenTimesView.as_view(), name="open-times"),
    path("sessions", sessions.SessionListView.as_view(), name="session-list"),
    path("sessions/<uuid:session_id>", sessions.SessionDetailView.as_view(), name="session-detail"),
    path(
        "sessions/<uuid:session_id>/move", sessions.SessionMoveView.as_view(), name="session-move"
    ),
    path(
        "sessions/<uuid:session_id>/cancellation",
        sessions.SessionCancellationView.as_view(),
        name="session-cancellation",
    ),
]
