"""All addresses: every floor's resources under /api/v1/, problem documents for the rest."""

from importlib.util import find_spec

from django.urls import include, path

FLOORS = ("practice", "clients", "sessions", "billing")

urlpatterns = [
    path("api/v1/", include(f"{floor}.api.urls"))
    for floor in FLOORS
    if find_spec(f"{floor}.api.urls") is not None
]

handler400 = "practice.api.documents.bad_request"
handler403 = "practice.api.documents.forbidden"
handler404 = "practice.api.documents.not_found"
handler500 = "practice.api.documents.server_error"
