"""Addresses below /api/v1/."""

from django.urls import path

from practice.http import health

urlpatterns = [
    path("health/live", health.LivenessView.as_view(), name="health-live"),
    path("health/ready", health.ReadinessView.as_view(), name="health-ready"),
    path("schema", health.OpenApiView.as_view(), name="schema"),
    path("docs", health.DocumentationView.as_view(url_name="schema"), name="docs"),
]
