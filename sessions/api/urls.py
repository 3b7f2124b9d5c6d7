"""Addresses of the sessions floor."""

from django.urls import path

from sessions.api import urls_motion
from sessions.api.resources.attendance import Absence, Arrival, Opening, Stopping
from sessions.api.resources.booking import CancelSession, MoveSession, OneSession, Sessions
from sessions.api.resources.notes import Addenda, NotesOutside, SessionNote, Signature
from sessions.api.resources.opentimes import OpenTimesView
from sessions.api.resources.permissions import ClientPermissions
from sessions.api.resources.plan import SessionPlan

SESSION = "sessions/<uuid:session_id>"

urlpatterns = [
    path("sessions", Sessions.as_view(), name="session-list"),
    path(SESSION, OneSession.as_view(), name="session-detail"),
    path(f"{SESSION}/move", MoveSession.as_view(), name="session-move"),
    path(f"{SESSION}/cancellation", CancelSession.as_view(), name="session-cancellation"),
    path(f"{SESSION}/absence", Absence.as_view(), name="session-absence"),
    path(f"{SESSION}/arrival", Arrival.as_view(), name="session-arrival"),
    path(f"{SESSION}/opening", Opening.as_view(), name="session-opening"),
    path(f"{SESSION}/stop", Stopping.as_view(), name="session-stop"),
    path(f"{SESSION}/plan", SessionPlan.as_view(), name="session-plan"),
    path(f"{SESSION}/note", SessionNote.as_view(), name="session-note"),
    path(f"{SESSION}/note/signature", Signature.as_view(), name="note-signature"),
    path(f"{SESSION}/note/addenda", Addenda.as_view(), name="note-addenda"),
    path("notes/outside-permission", NotesOutside.as_view(), name="note-outside-list"),
    path("open-times", OpenTimesView.as_view(), name="open-times"),
    path(
        "clients/<uuid:client_id>/permissions",
        ClientPermissions.as_view(),
        name="client-permissions",
    ),
    *urls_motion.urlpatterns,
]
