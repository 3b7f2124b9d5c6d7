"""What a practitioner asks of a signed note."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.notes.domain.events import NotePartMinutes


@dataclass(frozen=True, kw_only=True)
class AddToNote:
    """Later words; the right minutes of every part, where they were wrong."""

    text: str
    corrected_minutes: tuple[NotePartMinutes, ...] | None = None
