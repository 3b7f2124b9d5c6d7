"""Settings of the session split."""

from __future__ import annotations

from practice.policy.selectors import settings_group
from sessions.session_split.domain.settings import SessionSplitSettings


def session_split_settings() -> tuple[SessionSplitSettings, int]:
    """The settings of the session split and their revision."""
    return settings_group("session_split", SessionSplitSettings)
