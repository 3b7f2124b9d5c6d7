"""Settings, norms and open days that the sessions floor's decisions are given."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from uuid import UUID

import msgspec

from practice.eventlog.unit import once
from practice.models import PRACTICE_ID, Facility, OpeningHours, Practice
from practice.selectors import settings_group
from practice.services.fixtures import fixtures_folder
from sessions.domain.catalogue.settings import DoseSettings
from sessions.domain.hour.settings import HourSettings
from sessions.domain.motion.norms import Norm
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.programme.dates import Opening
from sessions.domain.programme.settings import RecheckSettings
from sessions.domain.swelling.settings import SwellingSettings


def measurement_settings() -> MeasurementSettings:
    """The settings that judge readings."""
    return settings_group("measurement", MeasurementSettings)[0]


def swelling_settings() -> SwellingSettings:
    """The settings on arm swelling."""
    return settings_group("swelling", SwellingSettings)[0]


def dose_settings() -> DoseSettings:
    """The usual doses."""
    return settings_group("doses", DoseSettings)[0]


def recheck_settings() -> tuple[RecheckSettings, int]:
    """The settings on re-checks and their revision."""
    return settings_group("rechecks", RecheckSettings)


def hour_settings() -> tuple[HourSettings, int]:
    """The settings on the hour and their revision."""
    return settings_group("hour", HourSettings)


@lru_cache(maxsize=2)
def _norms(file: Path) -> tuple[Norm, ...]:
    return msgspec.json.decode(file.read_bytes(), type=tuple[Norm, ...])


def norms() -> tuple[Norm, ...]:
    """The published norms at hand."""
    return _norms(fixtures_folder() / "norms.json")


def opening_of(facility_id: UUID | None, policy: RecheckSettings) -> Opening:
    """On which days a facility is open; the practice's days where it has no hours on record."""
    days: set[int] = set()
    if facility_id is not None:
        found = OpeningHours.objects.filter(facility_id=facility_id)
        days = set(found.values_list("weekday", flat=True))
    return Opening(frozenset(days or policy.open_weekdays), frozenset(policy.closed_days))


def zone_of(facility_id: UUID | None) -> str:
    """The zone of a facility, or the practice's own."""
    if facility_id is not None:
        zone = Facility.objects.filter(pk=facility_id).values_list("zone", flat=True).first()
        if zone is not None:
            return str(zone)
    return once("zone", lambda: Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID))
