"""All addresses: every floor's resources under /api/v1/, problem documents for the rest."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("practice.api.urls")),
    path("api/v1/", include("clients.api.urls")),
    path("api/v1/", include("sessions.api.urls")),
    path("api/v1/", include("billing.api.urls")),
]

handler400 = "practice.api.documents.bad_request"
handler403 = "practice.api.documents.forbidden"
handler404 = "practice.api.documents.not_found"
handler500 = "practice.api.documents.server_error"
