"""What a practitioner asks of a signed note."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

import msgspec

from sessions.notes.domain.events import NotePartMinutes


class Correction(msgspec.Struct, frozen=True, kw_only=True):
    """What is corrected of a note's count; what is not named stays. None or empty: nothing."""

    minutes: tuple[NotePartMinutes, ...] = ()
    not_counted_minutes: int | None = None
    started_at: datetime | None = None
    ended_at: datetime | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is corrected."""
        return self == Correction()


@dataclass(frozen=True, kw_only=True)
class AddToNote:
    """Later words and corrections. ``confirmed``: more than was booked is meant.

    ``send_unsent``: the revision of what was saved after the signature and is sent with it.
    """

    text: str = ""
    correction: Correction = field(default_factory=Correction)
    confirmed: bool = False
    send_unsent: int | None = None
