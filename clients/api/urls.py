"""Addresses of the clients floor under /api/v1/."""

from django.urls import path

from clients.api.resources import consent, health, identity, listing, orders, past, preference

CLIENT = "clients/<uuid:client_id>"

urlpatterns = [
    path("clients", listing.Clients.as_view(), name="client-list"),
    path("clients/search", identity.ClientSearch.as_view(), name="client-search"),
    path(CLIENT, identity.OneClient.as_view(), name="client-detail"),
    path(f"{CLIENT}/health-history", health.History.as_view(), name="health-history"),
    path(f"{CLIENT}/health-history/review", health.Review.as_view(), name="history-review"),
    path(f"{CLIENT}/touch-consent", consent.TouchConsent.as_view(), name="touch-consent"),
    path(
        f"{CLIENT}/touch-consent/withdrawal",
        consent.Withdrawal.as_view(),
        name="consent-withdrawal",
    ),
    path(f"{CLIENT}/touch-consent/refusal", consent.Refusal.as_view(), name="consent-refusal"),
    path(f"{CLIENT}/provider-preference", preference.Preference.as_view(), name="preference"),
    path(
        f"{CLIENT}/provider-preference/exceptions",
        preference.Exceptions.as_view(),
        name="preference-exception-list",
    ),
    path(f"{CLIENT}/orders", orders.Orders.as_view(), name="order-list"),
    path(
        f"{CLIENT}/orders/<uuid:order_id>/lifting", orders.Lifting.as_view(), name="order-lifting"
    ),
    path(f"{CLIENT}/history", past.RecordHistory.as_view(), name="record-history"),
    path(f"{CLIENT}/record", past.RecordAsKnown.as_view(), name="record-as-known"),
]
