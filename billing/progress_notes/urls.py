"""Addresses below /api/v1/."""

from django.urls import path

from billing.progress_notes import views

urlpatterns = [
    path(
        "progress-notes/due", views.ProgressNoteDueListView.as_view(), name="progress-note-due-list"
    ),
    path(
        "clients/<uuid:client_id>/progress-notes",
        views.ClientProgressNoteListView.as_view(),
        name="client-progress-note-list",
    ),
    path(
        "progress-notes/<uuid:progress_note_id>",
        views.ProgressNoteDetailView.as_view(),
        name="progress-note-detail",
    ),
    path(
        "progress-notes/<uuid:progress_note_id>/in-error",
        views.ProgressNoteInErrorView.as_view(),
        name="progress-note-in-error",
    ),
]
