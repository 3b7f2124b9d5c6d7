"""Addresses below /api/v1/."""

from django.urls import path

from billing.authorizations import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/authorizations",
        views.ClientAuthorizationListView.as_view(),
        name="client-authorization-list",
    ),
    path("authorizations", views.AuthorizationListView.as_view(), name="authorization-list"),
    path(
        "authorizations/<uuid:authorization_id>",
        views.AuthorizationDetailView.as_view(),
        name="authorization-detail",
    ),
    path(
        "authorizations/<uuid:authorization_id>/ending",
        views.AuthorizationEndView.as_view(),
        name="authorization-ending",
    ),
    path(
        "authorizations/<uuid:authorization_id>/reopening",
        views.AuthorizationReopenView.as_view(),
        name="authorization-reopening",
    ),
]
