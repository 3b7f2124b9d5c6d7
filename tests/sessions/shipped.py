"""The settings and tables as they ship, for the tests of this floor."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from sessions.domain.catalogue.settings import DoseSettings
from sessions.domain.hour.settings import HourSettings
from sessions.domain.motion.norms import Norm
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.programme.settings import RecheckSettings
from sessions.domain.swelling.settings import SwellingSettings

FIXTURES = Path(__file__).parents[2] / "fixtures"
S = TypeVar("S")


def rows(group: str) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = json.loads(
        (FIXTURES / "settings" / f"{group}.json").read_text()
    )
    return found


def _group(group: str, kind: type[S]) -> S:
    return msgspec.convert({key: row["value"] for key, row in rows(group).items()}, kind)


MEASUREMENT = _group("measurement", MeasurementSettings)
RECHECKS = _group("rechecks", RecheckSettings)
DOSES = _group("doses", DoseSettings)
SWELLING = _group("swelling", SwellingSettings)
HOUR = _group("hour", HourSettings)


@cache
def norms() -> tuple[Norm, ...]:
    return msgspec.json.decode((FIXTURES / "norms.json").read_bytes(), type=tuple[Norm, ...])
