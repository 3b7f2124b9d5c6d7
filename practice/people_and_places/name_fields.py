"""Names beside ids: who reads a list knows nobody by an id."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final
from uuid import UUID

from rest_framework import serializers

from practice.people_and_places.selectors.kept import (
    Names,
    facility_names,
    practitioner_names,
    room_names,
)

OF: Final[Mapping[str, Callable[[], Names]]] = {
    "practitioner": practitioner_names,
    "facility": facility_names,
    "room": room_names,
}


class NameBesideId(serializers.CharField):
    """The name of whom or what a column ``<column>_id`` of a row holds, from what the process
    keeps; empty where it holds nothing. ``of``: `practitioner`, `facility` or `room`."""

    def __init__(self, of: str, column: str = "", **kwargs: Any) -> None:
        self._names, self._column = OF[of], f"{column or of}_id"
        kwargs.setdefault("help_text", "The name beside that id; empty without one.")
        super().__init__(read_only=True, source="*", **kwargs)

    def to_representation(self, value: Any) -> str:
        """From a row, or from what of one is kept as JSON."""
        kept = isinstance(value, dict)
        named = value.get(self._column) if kept else getattr(value, self._column)
        if not named:
            return ""
        return self._names().get(UUID(str(named)), "")
