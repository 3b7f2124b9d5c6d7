"""Addresses below /api/v1/."""

from django.urls import path

from billing.visits import correction_views, views, voiding_views

urlpatterns = [
    path(
        "authorizations/<uuid:authorization_id>/visits",
        views.AuthorizationVisitListView.as_view(),
        name="authorization-visit-list",
    ),
    path(
        "authorizations/<uuid:authorization_id>/voiding",
        voiding_views.AuthorizationVoidView.as_view(),
        name="authorization-voiding",
    ),
    path(
        "payers/<uuid:payer_id>/corrections",
        correction_views.PayerCorrectionView.as_view(),
        name="payer-correction",
    ),
    path("visits", views.VisitListView.as_view(), name="visit-list"),
    path("visits/<uuid:visit_id>", views.VisitDetailView.as_view(), name="visit-detail"),
    path(
        "visits/<uuid:visit_id>/override", views.VisitOverrideView.as_view(), name="visit-override"
    ),
]
