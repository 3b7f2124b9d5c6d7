"""What the clients app is asked to do, as plain values."""

from __future__ import annotations

from datetime import datetime

import msgspec

from clients.health.domain.content import HistoryContent

# Health history


class ReportHistory(msgspec.Struct, frozen=True, kw_only=True):
    """A health history as told to the desk, by whom, and when (default now)."""

    content: HistoryContent
    informant: str = ""
    occurred_at: datetime | None = None


class ReviewHistory(msgspec.Struct, frozen=True, kw_only=True):
    """The history as a practitioner found it."""

    content: HistoryContent
    occurred_at: datetime | None = None
