"""Settings and norms by which measurements are evaluated."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from pathlib import Path

import msgspec

from practice.policy.as_known import settings_as_known
from practice.policy.fixtures import fixtures_folder
from practice.policy.selectors import settings_group
from sessions.measurements.domain.norms import Norm
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.swelling_settings import SwellingSettings


def measurement_settings() -> MeasurementSettings:
    """The settings by which readings are evaluated."""
    return settings_group("measurement", MeasurementSettings)[0]


def swelling_settings(known_at: datetime | None = None) -> SwellingSettings:
    """The settings on arm swelling, as of now or as they stood at an instant."""
    if known_at is not None:
        return settings_as_known("swelling", SwellingSettings, known_at)[0]
    return settings_group("swelling", SwellingSettings)[0]


@lru_cache(maxsize=2)
def _norms(file: Path) -> tuple[Norm, ...]:
    return msgspec.json.decode(file.read_bytes(), type=tuple[Norm, ...])


def norms() -> tuple[Norm, ...]:
    """The published norms at hand."""
    return _norms(fixtures_folder() / "norms.json")
