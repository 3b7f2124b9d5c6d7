"""Addresses of this app below /api/v1/, feature by feature."""

from django.urls import include, path

urlpatterns = [
    path("", include("sessions.catalogue.urls")),
    path("", include("sessions.kinds.urls")),
    path("", include("sessions.held_slots.urls")),
    path("", include("sessions.travel.urls")),
    path("", include("sessions.incidents.urls")),
    path("", include("sessions.measurements.urls")),
    path("", include("sessions.assessment.urls")),
    path("", include("sessions.booking.urls")),
    path("", include("sessions.series.urls")),
    path("", include("sessions.waiting_list.urls")),
    path("", include("sessions.groups.urls")),
    path("", include("sessions.absences.urls")),
    path("", include("sessions.notes.urls")),
    path("", include("sessions.reevaluation.urls")),
    path("", include("sessions.replanning.urls")),
    path("", include("sessions.stretches.urls")),
    path("", include("sessions.session_split.urls")),
    path("", include("sessions.goals.urls")),
    path("", include("sessions.plan.urls")),
    path("", include("sessions.feeds.urls")),
    path("", include("sessions.desk.urls")),
    path("", include("sessions.owner_month.urls")),
]
