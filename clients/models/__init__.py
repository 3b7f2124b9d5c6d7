"""Read tables of the clients floor; rows come from events and are never edited."""

from clients.models.identity import Client, ClientFacility
from clients.models.record import Consent, HealthHistory, Order, Preference

__all__ = ["Client", "ClientFacility", "Consent", "HealthHistory", "Order", "Preference"]
