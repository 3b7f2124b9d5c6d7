"""Addresses below /api/v1/."""

from django.urls import path

from sessions.plan import views

urlpatterns = [
    path(
        "sessions/<uuid:session_id>/opening",
        views.SessionOpeningView.as_view(),
        name="session-opening",
    ),
    path(
        "sessions/<uuid:session_id>/note/lines",
        views.NoteLinesView.as_view(),
        name="note-lines",
    ),
    path("sessions/<uuid:session_id>/plan", views.SessionPlanView.as_view(), name="session-plan"),
]
