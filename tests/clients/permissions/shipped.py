"""The catalogue of stretches as it ships, as permissions know it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from clients.permissions.domain.stretch import StretchSpec
from sessions.catalogue.domain.content import StretchContent, catalogue_content, stretch_spec


@cache
def contents() -> dict[str, StretchContent]:
    """Every stretch by its code."""
    file = Path(__file__).parents[3] / "fixtures" / "stretches.json"
    raw = json.loads(file.read_text(encoding="utf-8"))
    return {code: catalogue_content(one) for code, one in raw.items()}


def shipped(code: str) -> StretchSpec:
    """One stretch of it."""
    return stretch_spec(contents()[code], code=code, version=1)
