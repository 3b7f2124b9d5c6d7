"""Addresses below /api/v1/."""

from django.urls import path

from billing.payers import views

urlpatterns = [
    path("payers", views.PayerListView.as_view(), name="payer-list"),
    path("payers/<uuid:payer_id>", views.PayerDetailView.as_view(), name="payer-detail"),
    path("service-codes", views.ServiceCodeListView.as_view(), name="service-code-list"),
    path(
        "service-codes/<uuid:code_id>",
        views.ServiceCodeDetailView.as_view(),
        name="service-code-detail",
    ),
]
