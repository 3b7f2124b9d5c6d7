"""The program's addresses and, beside them, the plain endpoint."""

from django.urls import path

from practice.urls import urlpatterns as ours
from tests.bench.plain import PlainReadings

urlpatterns = [*ours, path("plain/readings", PlainReadings.as_view())]

handler400 = "practice.api.documents.bad_request"
handler403 = "practice.api.documents.forbidden"
handler404 = "practice.api.documents.not_found"
handler500 = "practice.api.documents.server_error"
