"""All addresses: every app's resources under /api/v1/, problem documents for the rest."""

from django.urls import include, path, re_path

from practice.http.start import StartView

urlpatterns = [
    re_path(r"^(?:api/v1/?)?$", StartView.as_view(), name="start"),
    path("api/v1/", include("practice.http.urls")),
    path("api/v1/", include("practice.policy.urls")),
    path("api/v1/", include("practice.law.urls")),
    path("api/v1/", include("practice.people_and_places.urls")),
    path("api/v1/", include("practice.audit.urls")),
    path("api/v1/", include("clients.urls")),
    path("api/v1/", include("sessions.urls")),
    path("api/v1/", include("billing.urls")),
]

handler400 = "practice.http.problem_documents.bad_request_view"
handler403 = "practice.http.problem_documents.forbidden_view"
handler404 = "practice.http.problem_documents.not_found_view"
handler500 = "practice.http.problem_documents.server_error_view"
