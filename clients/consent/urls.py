"""Addresses below /api/v1/."""

from django.urls import path

from clients.consent import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/touch-consent",
        views.TouchConsentView.as_view(),
        name="touch-consent",
    ),
    path(
        "clients/<uuid:client_id>/touch-consent/withdrawal",
        views.ConsentWithdrawalView.as_view(),
        name="consent-withdrawal",
    ),
    path(
        "clients/<uuid:client_id>/touch-consent/refusal",
        views.ConsentRefusalView.as_view(),
        name="consent-refusal",
    ),
    path(
        "clients/<uuid:client_id>/touch-consent/confirmation",
        views.ConsentConfirmationView.as_view(),
        name="consent-confirmation",
    ),
]
