"""What the clients' features bring: who a client is and what may be done with them."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain import event_texts as consent_texts
from clients.consent.domain import events as consent_events
from clients.consent.domain.projections import CONSENT_ROWS
from clients.health.domain import event_texts as health_texts
from clients.health.domain import events as health_events
from clients.health.domain.projections import HISTORY_ROWS
from clients.identity.domain import event_texts as identity_texts
from clients.identity.domain import events as identity_events
from clients.identity.domain.names import NameSettings
from clients.identity.domain.projections import CLIENT_ROWS, FACILITY_ROWS, SEARCH_ROWS
from clients.identity.selectors import visible_among
from clients.orders.domain import event_texts as orders_texts
from clients.orders.domain import events as order_events
from clients.orders.domain.projections import ORDER_ROWS
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts
from clients.preference.domain import events as preference_events
from clients.preference.domain.projections import PREFERENCE_ROWS
from practice.core.appspec import AppSpec
from practice.work.visibility import VISIBLE_AMONG

APP = AppSpec(
    name="clients",
    events=(identity_events, health_events, order_events, consent_events, preference_events),
    slices=CLIENT_FACTS,
    projections=(
        CLIENT_ROWS,
        FACILITY_ROWS,
        SEARCH_ROWS,
        CONSENT_ROWS,
        PREFERENCE_ROWS,
        HISTORY_ROWS,
        ORDER_ROWS,
    ),
    event_texts=(
        identity_texts.EVENT_TEXTS,
        consent_texts.EVENT_TEXTS,
        health_texts.EVENT_TEXTS,
        orders_texts.EVENT_TEXTS,
        preference_texts.EVENT_TEXTS,
    ),
    settings={"permissions": PermissionSettings, "names": NameSettings},
    owners_of_ids={"order_id": "clients.Order"},
    extensions=(VISIBLE_AMONG.by(visible_among),),
)
