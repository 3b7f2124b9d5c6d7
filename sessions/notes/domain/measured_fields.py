"""Readings and circumferences among the fields of a draft: how they are named and what came of
them. Pure."""

from __future__ import annotations

from uuid import UUID, uuid5

import msgspec

READING_PREFIX, CIRCUMFERENCES_PREFIX = "reading.", "circumferences."
MEASURED_PREFIXES = {"readings": READING_PREFIX, "circumferences": CIRCUMFERENCES_PREFIX}
"""What is measured, as devices name it, and how its fields begin."""


class MeasuredLine(msgspec.Struct, frozen=True):
    """What came of a line that was measured, as it read then (by its mark).

    ``taken``: it was recorded. Else why it was not: ``code``, ``text`` and by field.
    """

    mark: str
    taken: bool = False
    code: str = ""
    text: str = ""
    fields: dict[str, str] = msgspec.field(default_factory=dict)


def is_measured(name: str) -> bool:
    """Whether a field of a draft is something measured. It is a record of its own once it is
    taken: no whole save leaves it out."""
    return name.startswith((READING_PREFIX, CIRCUMFERENCES_PREFIX))


def record_id(session_id: UUID, name: str) -> UUID:
    """The id of the record that a line becomes: the same whatever sends it, and of this session
    alone, whatever else a device calls so."""
    return uuid5(session_id, name)
