"""Values as the rows of read tables hold them. Pure."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import msgspec


def to_json(value: Any) -> Any:
    """A struct or list of structs as JSON has it."""
    return msgspec.to_builtins(value)


def instant(at: datetime) -> str:
    """An instant in UTC, so that every replay writes the same text."""
    return at.astimezone(UTC).isoformat()
