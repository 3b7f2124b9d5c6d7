"""Addresses below /api/v1/."""

from django.urls import path

from sessions.booking.views import attendance, confirming, corrections, open_times, sessions

urlpatterns = [
    path(
        "sessions/<uuid:session_id>/no-show",
        attendance.SessionNoShowView.as_view(),
        name="session-no-show",
    ),
    path(
        "sessions/<uuid:session_id>/confirmation",
        confirming.SessionConfirmationView.as_view(),
        name="session-confirmation",
    ),
    path(
        "sessions/<uuid:session_id>/arrival",
        attendance.SessionArrivalView.as_view(),
        name="session-arrival",
    ),
    path(
        "sessions/<uuid:session_id>/stop", attendance.SessionStopView.as_view(), name="session-stop"
    ),
    path(
        "sessions/<uuid:session_id>/correction",
        corrections.SessionCorrectionView.as_view(),
        name="session-correction",
    ),
    path(
        "sessions/<uuid:session_id>/entry-in-error",
        corrections.SessionInErrorView.as_view(),
        name="session-in-error",
    ),
    path(
        "sessions/<uuid:session_id>/red-flag-clearance",
        corrections.RedFlagClearanceView.as_view(),
        name="red-flag-clearance",
    ),
    path(
        "sessions/<uuid:session_id>/words-review",
        corrections.WordsReviewView.as_view(),
        name="words-review",
    ),
    path(
        "clients/<uuid:client_id>/signs",
        corrections.ClientSignsView.as_view(),
        name="client-signs",
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
