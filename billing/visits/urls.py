"""Addresses below /api/v1/."""

from django.urls import path

from billing.visits import correction_views, coverage_views, views, voiding_views

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
    path(
        "coverable-visits",
        coverage_views.CoverableVisitListView.as_view(),
        name="coverable-visit-list",
    ),
    path("visits", views.VisitListView.as_view(), name="visit-list"),
    path("visits/<uuid:visit_id>", views.VisitDetailView.as_view(), name="visit-detail"),
    path(
        "visits/<uuid:visit_id>/giving-back",
        coverage_views.VisitGiveBackView.as_view(),
        name="visit-giving-back",
    ),
    path(
        "visits/<uuid:visit_id>/override", views.VisitOverrideView.as_view(), name="visit-override"
    ),
]
