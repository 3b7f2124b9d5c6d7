"""The settings and tables as they ship, for the tests of this floor."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from sessions.catalogue.domain.settings import DoseSettings
from sessions.measurements.domain.norms import Norm
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.swelling_settings import SwellingSettings
from sessions.session_split.domain.settings import SessionSplitSettings
from sessions.stretches.domain.settings import RecheckSettings

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
HOUR = _group("session_split", SessionSplitSettings)


@cache
def norms() -> tuple[Norm, ...]:
    return msgspec.json.decode((FIXTURES / "norms.json").read_bytes(), type=tuple[Norm, ...])
