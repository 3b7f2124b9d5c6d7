"""The program's addresses and, beside them, the plain endpoint."""

from django.urls import path

from practice.urls import urlpatterns as ours
from tests.bench.plain import PlainReadings

urlpatterns = [*ours, path("plain/readings", PlainReadings.as_view())]

handler400 = "practice.http.problem_documents.bad_request_view"
handler403 = "practice.http.problem_documents.forbidden_view"
handler404 = "practice.http.problem_documents.not_found_view"
handler500 = "practice.http.problem_documents.server_error_view"
