"""Settings on doses and re-checks."""

from __future__ import annotations

from practice.policy.selectors import settings_group
from sessions.catalogue.domain.settings import DoseSettings
from sessions.stretches.domain.settings import RecheckSettings


def dose_settings() -> DoseSettings:
    """The practice's usual doses: settings group ``doses``."""
    return settings_group("doses", DoseSettings)[0]


def recheck_settings() -> tuple[RecheckSettings, int]:
    """The settings on re-checks and their revision."""
    return settings_group("rechecks", RecheckSettings)
