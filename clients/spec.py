"""What this floor registers: its slices, projectors and the shape of its settings."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain import event_texts as consent_texts
from clients.consent.domain.projections import CONSENT_ROWS
from clients.health.domain import event_texts as health_texts
from clients.health.domain.projections import HISTORY_ROWS
from clients.identity.domain import event_texts as identity_texts
from clients.identity.domain.projections import CLIENT_ROWS, FACILITY_ROWS
from clients.identity.domain.state import IDENTITY
from clients.orders.domain import event_texts as orders_texts
from clients.orders.domain.projections import ORDER_ROWS
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts
from clients.preference.domain.projections import PREFERENCE_ROWS
from practice.core.decisions import installed
from practice.policy.hooks import register_settings

PROJECTIONS = (CLIENT_ROWS, FACILITY_ROWS, CONSENT_ROWS, PREFERENCE_ROWS, HISTORY_ROWS, ORDER_ROWS)
EVENT_TEXTS = (identity_texts, health_texts, orders_texts, consent_texts, preference_texts)


def register() -> None:
    """Called once at start-up; safe to repeat."""
    installed.add_slices(IDENTITY, *CLIENT_FACTS)
    installed.add_projections(*PROJECTIONS)
    installed.add_event_texts(*(texts.EVENT_TEXTS for texts in EVENT_TEXTS))
    register_settings("permissions", PermissionSettings)
