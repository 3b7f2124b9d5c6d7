"""The practice's settings of notes."""

from __future__ import annotations

import msgspec


class NoteSettings(msgspec.Struct, frozen=True, kw_only=True):
    """The practice's settings of notes (group ``notes``)."""

    required_texts: tuple[str, ...]
    longest_attended_minutes: int
    most_repetitions: int
    longest_hold_seconds: int
    unsigned_after_hours: int
