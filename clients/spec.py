"""What the clients' features bring: who a client is and what may be done with them."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain import event_texts as consent_texts  # noqa: F401
from clients.consent.domain import events as consent_events
from clients.consent.domain.projections import consent_row
from clients.health.domain import event_texts as health_texts  # noqa: F401
from clients.health.domain import events as health_events
from clients.health.domain.projections import history_row
from clients.identity.domain import events as identity_events
from clients.identity.domain.projections import client_row, facility_rows
from clients.identity.domain.state import IDENTITY
from clients.orders.domain import event_texts as orders_texts  # noqa: F401
from clients.orders.domain import events as order_events
from clients.orders.domain.projections import order_row
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts  # noqa: F401
from clients.preference.domain import events as preference_events
from clients.preference.domain.projections import preference_row
from practice.core.appspec import AppSpec

APP = AppSpec(
    name="clients",
    events=(identity_events, health_events, order_events, consent_events, preference_events),
    slices=(IDENTITY, *CLIENT_FACTS),
    projections=(
        client_row,
        facility_rows,
        consent_row,
        preference_row,
        history_row,
        order_row,
    ),
    settings={"permissions": PermissionSettings},
    owners_of_ids={"order_id": "clients.Order"},
)
