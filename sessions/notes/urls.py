"""Addresses below /api/v1/."""

from django.urls import path

from sessions.notes import co_signature_views, in_error_views, list_views, views

urlpatterns = [
    path("sessions/<uuid:session_id>/note", views.SessionNoteView.as_view(), name="session-note"),
    path(
        "sessions/<uuid:session_id>/note/signature",
        views.NoteSignatureView.as_view(),
        name="note-signature",
    ),
    path(
        "sessions/<uuid:session_id>/note/addenda",
        views.NoteAddendaView.as_view(),
        name="note-addenda",
    ),
    path(
        "sessions/<uuid:session_id>/note/unsent/discard",
        views.UnsentWordsDiscardView.as_view(),
        name="note-unsent-discard",
    ),
    path(
        "sessions/<uuid:session_id>/note/co-signature",
        co_signature_views.NoteCoSignatureView.as_view(),
        name="note-co-signature",
    ),
    path(
        "sessions/<uuid:session_id>/note/return",
        co_signature_views.NoteReturnView.as_view(),
        name="note-return",
    ),
    path(
        "sessions/<uuid:session_id>/note/return/take-back",
        co_signature_views.NoteReturnTakeBackView.as_view(),
        name="note-return-take-back",
    ),
    path(
        "sessions/<uuid:session_id>/note/co-signer",
        co_signature_views.CoSignerView.as_view(),
        name="note-co-signer",
    ),
    path(
        "notes/awaiting-co-signature",
        co_signature_views.AwaitingCoSignatureListView.as_view(),
        name="note-awaiting-co-signature-list",
    ),
    path(
        "sessions/<uuid:session_id>/note/entered-in-error",
        in_error_views.NoteInErrorView.as_view(),
        name="note-in-error",
    ),
    path(
        "sessions/<uuid:session_id>/note/carried",
        in_error_views.WordsCarryView.as_view(),
        name="note-carried",
    ),
    path(
        "sessions/<uuid:session_id>/note/draft/discard",
        in_error_views.DraftDiscardView.as_view(),
        name="note-draft-discard",
    ),
    path("notes/unsigned", list_views.UnsignedNoteListView.as_view(), name="note-unsigned-list"),
    path("notes/unsent", list_views.WaitingWordsListView.as_view(), name="note-unsent-list"),
    path("notes/search", list_views.OwnNoteSearchView.as_view(), name="note-search"),
    path(
        "notes/outside-permission",
        views.NotesOutsidePermissionListView.as_view(),
        name="note-outside-list",
    ),
]
