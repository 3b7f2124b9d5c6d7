"""What this floor registers: its slices, projectors and the shape of its settings."""

from __future__ import annotations

from clients.domain.clinical import CLIENT_FACTS
from clients.domain.identity import IDENTITY
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.projecting.consent import consent_row
from clients.domain.projecting.health import history_row
from clients.domain.projecting.identity import client_row, facility_rows
from clients.domain.projecting.orders import order_row
from clients.domain.projecting.preference import preference_row
from practice.domain.decisions import parts
from practice.services.hooks import register_settings

PROJECTORS = (client_row, facility_rows, consent_row, preference_row, history_row, order_row)
"""Registered as their module is imported."""


def register() -> None:
    """Called once at start-up; safe to repeat."""
    parts.add_slices(IDENTITY, *CLIENT_FACTS)
    register_settings("permissions", PermissionSettings)
