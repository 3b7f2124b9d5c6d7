"""What this floor registers: its slices, projectors and the shape of its settings."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain import event_texts as consent_texts
from clients.consent.domain.projections import consent_row
from clients.health.domain import event_texts as health_texts
from clients.health.domain.projections import history_row
from clients.identity.domain import event_texts as identity_texts
from clients.identity.domain.projections import client_row, facility_rows
from clients.identity.domain.state import IDENTITY
from clients.orders.domain import event_texts as orders_texts
from clients.orders.domain.projections import order_row
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts
from clients.preference.domain.projections import preference_row
from practice.core.decisions import installed
from practice.policy.hooks import register_settings

PROJECTIONS = (client_row, facility_rows, consent_row, preference_row, history_row, order_row)
EVENT_TEXTS = (identity_texts, health_texts, orders_texts, consent_texts, preference_texts)
"""Registered as their modules are imported."""


def register() -> None:
    """Called once at start-up; safe to repeat."""
    installed.add_slices(IDENTITY, *CLIENT_FACTS)
    register_settings("permissions", PermissionSettings)
