"""Addresses of authorizations under /api/v1/."""

from django.urls import path

from billing.api.resources import authorizations

urlpatterns = [
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
]
