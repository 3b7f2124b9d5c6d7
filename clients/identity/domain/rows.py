"""Values as the rows of read tables hold them. Pure."""

from __future__ import annotations

from datetime import UTC
from typing import Any

import msgspec

from practice.core.events import RecordedEvent


def to_json(value: Any) -> Any:
    """A struct or list of structs as JSON has it."""
    return msgspec.to_builtins(value)


def instant(rec: RecordedEvent) -> str:
    """When it happened, in UTC, so that every replay writes the same text."""
    return rec.occurred_at.astimezone(UTC).isoformat()
