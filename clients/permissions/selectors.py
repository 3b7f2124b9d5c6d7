"""What the sessions floor asks of the client's own record."""

from __future__ import annotations

from clients.clinical.domain.operations import RegionsByOperation
from clients.permissions.domain.settings import PermissionSettings
from practice.policy.selectors import settings_group


def operation_regions() -> RegionsByOperation:
    """Which regions each kind of operation touches: the practice's table."""
    return settings_group("permissions", PermissionSettings)[0].operation_regions


def fatigue_warning() -> int:
    """From which fatigue (0 to 10) on the practice goes easy."""
    return settings_group("permissions", PermissionSettings)[0].fatigue_warning
