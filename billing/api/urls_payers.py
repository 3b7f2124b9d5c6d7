"""Addresses of payers under /api/v1/."""

from django.urls import path

from billing.api.resources import payers

urlpatterns = [
    path("payers", payers.Payers.as_view(), name="payer-list"),
    path("payers/<uuid:payer_id>", payers.OnePayer.as_view(), name="payer-detail"),
    path("service-codes", payers.ServiceCodes.as_view(), name="service-code-list"),
    path(
        "service-codes/<uuid:code_id>", payers.OneServiceCode.as_view(), name="service-code-detail"
    ),
]
