"""Settings on the hour of a session."""

from __future__ import annotations

from practice.selectors import settings_group
from sessions.domain.hour.settings import HourSettings


def hour_settings() -> tuple[HourSettings, int]:
    """The settings on the hour and their revision."""
    return settings_group("hour", HourSettings)
