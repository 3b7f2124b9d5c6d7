"""Addresses below /api/v1/."""

from django.urls import path

from sessions.owner_month import views

urlpatterns = [path("owner/month", views.OwnerMonthView.as_view(), name="owner-month")]
