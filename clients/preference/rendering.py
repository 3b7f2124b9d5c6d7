"""Provider preference as shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from clients.preference.models import Preference
from clients.preference.selectors import preference_of

NO_PREFERENCE: dict[str, Any] = {
    "scope": "",
    "gender": "",
    "practitioners": [],
    "stated_at": None,
    "exceptions": [],
}


def serialize_preference(client_id: UUID, version: int) -> dict[str, Any]:
    """Whom she prefers, with the exceptions that she agreed to since she said so."""
    row = preference_of(client_id)
    if row is None:
        return {**NO_PREFERENCE, "version": version}
    shown = {name: getattr(row, name) for name in NO_PREFERENCE}
    shown["exceptions"] = [one for one in row.exceptions if _agreed_since(row, one)]
    return {**shown, "version": version}


def _agreed_since(row: Preference, exception: dict[str, Any]) -> bool:
    """An exception to the preference that stands now, not to an earlier one."""
    if row.stated_at is None or row.stated_recorded_at is None:
        return False
    agreed = (
        datetime.fromisoformat(exception["agreed_at"]),
        datetime.fromisoformat(exception["recorded_at"]),
        exception["version"],
    )
    return agreed > (row.stated_at, row.stated_recorded_at, row.stated_version)
