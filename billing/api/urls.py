"""Addresses of billing under /api/v1/."""

from django.urls import path

from billing.api.resources import authorizations, disclosures, payers, visits

urlpatterns = [
    path("payers", payers.Payers.as_view(), name="payer-list"),
    path("payers/<uuid:payer_id>", payers.OnePayer.as_view(), name="payer-detail"),
    path("service-codes", payers.ServiceCodes.as_view(), name="service-code-list"),
    path(
        "service-codes/<uuid:code_id>", payers.OneServiceCode.as_view(), name="service-code-detail"
    ),
    path(
        "clients/<uuid:client_id>/authorizations",
        authorizations.ClientAuthorizations.as_view(),
        name="client-authorization-list",
    ),
    path("authorizations", authorizations.Authorizations.as_view(), name="authorization-list"),
    path(
        "authorizations/<uuid:authorization_id>",
        authorizations.OneAuthorization.as_view(),
        name="authorization-detail",
    ),
    path(
        "authorizations/<uuid:authorization_id>/ending",
        authorizations.Ending.as_view(),
        name="authorization-ending",
    ),
    path(
        "authorizations/<uuid:authorization_id>/visits",
        visits.AuthorizationVisits.as_view(),
        name="authorization-visit-list",
    ),
    path(
        "authorizations/<uuid:authorization_id>/visit-summary",
        disclosures.VisitSummaries.as_view(),
        name="visit-summary-list",
    ),
    path(
        "visit-summaries/<uuid:summary_id>",
        disclosures.VisitSummary.as_view(),
        name="visit-summary",
    ),
    path("visits", visits.Visits.as_view(), name="visit-list"),
    path("visits/<uuid:visit_id>", visits.OneVisit.as_view(), name="visit-detail"),
    path("visits/<uuid:visit_id>/choice", visits.Choice.as_view(), name="visit-choice"),
    path(
        "clients/<uuid:client_id>/disclosures",
        disclosures.Disclosures.as_view(),
        name="disclosure-list",
    ),
]
