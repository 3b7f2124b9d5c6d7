"""Questions on the clients floor's read tables and records."""

from clients.selectors.clients import (
    client_get,
    client_list,
    client_search,
    of_visible_clients,
    visible_clients,
)
from clients.selectors.record import (
    client_as_known,
    client_history,
    consent_of,
    health_history_of,
    orders_of,
    preference_of,
)

__all__ = [
    "client_as_known",
    "client_get",
    "client_history",
    "client_list",
    "client_search",
    "consent_of",
    "health_history_of",
    "of_visible_clients",
    "orders_of",
    "preference_of",
    "visible_clients",
]
