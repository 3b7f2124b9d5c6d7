"""Addresses of visits under /api/v1/."""

from django.urls import path

from billing.api.resources import visits

urlpatterns = [
    path(
        "authorizations/<uuid:authorization_id>/visits",
        visits.AuthorizationVisits.as_view(),
        name="authorization-visit-list",
    ),
    path("visits", visits.Visits.as_view(), name="visit-list"),
    path("visits/<uuid:visit_id>", visits.OneVisit.as_view(), name="visit-detail"),
    path("visits/<uuid:visit_id>/choice", visits.Choice.as_view(), name="visit-choice"),
]
