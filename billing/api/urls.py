"""Addresses of billing under /api/v1/."""

from billing.api import urls_authorizations, urls_payers, urls_summaries, urls_visits

urlpatterns = [
    *urls_payers.urlpatterns,
    *urls_authorizations.urlpatterns,
    *urls_visits.urlpatterns,
    *urls_summaries.urlpatterns,
]
