"""Values that the practice starts with: settings, and the starter table of limits.

Settings stand in fixtures/settings/<group>.json as
``{"key": {"value": ..., "unit": "...", "about": "...", "citation": "..."}}``, where need be
with ``"least"`` and ``"most"``: the bounds of every number in the value, in its unit. Without
``least`` a setting that ships without a negative number takes none.
Only missing rows are loaded: what the owner changed stays, within the present bounds.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connections

from practice.policy.domain.bounds import default_minimum
from practice.policy.models import PRACTICE_ID, Practice, PracticeSetting, RowSeal
from practice.policy.row_seals import seal_rows


def fixtures_folder() -> Path:
    """Where the project's fixtures stand."""
    return Path(settings.FIXTURE_DIRS[0])


def settings_in_files() -> dict[tuple[str, str], dict[str, Any]]:
    """Every setting of the fixture files by (group, key)."""
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for file in sorted((fixtures_folder() / "settings").glob("*.json")):
        for key, given in json.loads(file.read_text(encoding="utf-8")).items():
            found[file.stem, key] = given
    return found


def setting_groups() -> list[str]:
    """The names of the groups of settings, in order."""
    return sorted({group for group, _ in settings_in_files()})


def bounds_of(given: Mapping[str, Any]) -> tuple[float | None, float | None]:
    """The least and the greatest number that a setting of the files may hold."""
    return given.get("minimum", default_minimum(given["value"])), given.get("maximum")


def _tables_are_there(using: str) -> bool:
    """False while only other apps are migrated."""
    names = connections[using].introspection.table_names()
    tables = {one._meta.db_table for one in (PracticeSetting, Practice, RowSeal)}
    return tables <= set(names)


def load_missing_settings(*, using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Load the settings that are not there yet. Runs after every migrate and flush."""
    if using != DEFAULT_DB_ALIAS or not _tables_are_there(using):
        return
    practice, made = Practice.objects.using(using).get_or_create(
        pk=PRACTICE_ID, defaults={"name": "The practice", "zone": "UTC"}
    )
    rows = PracticeSetting.objects.using(using)
    there = {(row.group, row.key): row for row in rows}
    files = settings_in_files()
    added = rows.bulk_create(
        PracticeSetting(
            group=group,
            key=key,
            value=given["value"],
            unit=given.get("unit", ""),
            about=given.get("about", ""),
            citation=given.get("citation", ""),
            minimum=bounds_of(given)[0],
            maximum=bounds_of(given)[1],
        )
        for (group, key), given in files.items()
        if (group, key) not in there
    )
    moved = [
        row
        for name, row in there.items()
        if name in files and (row.minimum, row.maximum) != bounds_of(files[name])
    ]
    for row in moved:
        row.minimum, row.maximum = bounds_of(files[row.group, row.key])
    rows.bulk_update(moved, ["minimum", "maximum"])
    seal_rows([*([practice] if made else []), *added, *moved], using=using)
