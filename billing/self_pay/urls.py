"""Addresses below /api/v1/."""

from django.urls import path

from billing.self_pay import views

urlpatterns = [
    path("clients/<uuid:client_id>/self-pay", views.SelfPayView.as_view(), name="self-pay"),
]
