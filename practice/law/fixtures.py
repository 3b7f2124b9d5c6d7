"""Values that the practice starts with: settings, and the starter tables of law.

Settings stand in fixtures/settings/<group>.json as
``{"key": {"value": ..., "unit": "...", "about": "...", "citation": "..."}}``, where need be
with ``"least"`` and ``"most"``: the bounds of every number in the value, in its unit. Without
``least`` a setting that ships without a negative number takes none.
Only missing rows are loaded: what the owner changed stays, within the present bounds.
"""

from __future__ import annotations

import json
from typing import Any

from practice.policy.fixtures import fixtures_folder


def starter_limits(jurisdiction: str) -> list[dict[str, Any]]:
    """The rows of the starter table for a jurisdiction, as the file has them."""
    return _rows("jurisdiction_limits.json", jurisdiction)


def starter_consent_ages(jurisdiction: str) -> list[dict[str, Any]]:
    """The ages of medical consent that are offered for a jurisdiction."""
    return _rows("consent_ages.json", jurisdiction)


def _rows(name: str, jurisdiction: str) -> list[dict[str, Any]]:
    file = fixtures_folder() / name
    if not file.exists():
        return []
    rows = json.loads(file.read_text(encoding="utf-8"))
    rows = rows["rows"] if isinstance(rows, dict) else rows
    return [row for row in rows if row["jurisdiction"] == jurisdiction]
