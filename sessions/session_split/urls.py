"""Addresses below /api/v1/."""

from django.urls import path

from sessions.session_split.views import split, training

urlpatterns = [
    path(
        "sessions/<uuid:session_id>/split", split.SessionSplitView.as_view(), name="session-split"
    ),
    path(
        "clients/<uuid:client_id>/training-history",
        training.TrainingHistoryView.as_view(),
        name="training-history",
    ),
    path(
        "clients/<uuid:client_id>/cardio-zones",
        training.CardioZonesView.as_view(),
        name="cardio-zones",
    ),
    path(
        "clients/<uuid:client_id>/load-suggestion",
        training.LoadSuggestionView.as_view(),
        name="load-suggestion",
    ),
]
