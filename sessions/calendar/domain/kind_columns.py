"""What a session's row keeps of the kind it was booked as. Pure."""

from __future__ import annotations

from typing import Any

from sessions.calendar.domain.terms import BookedKind


def kind_columns(kind: BookedKind | None) -> dict[str, Any]:
    """Its columns; nothing is held beside the session where no kind was named."""
    return {
        "kind_id": kind.kind_id if kind else None,
        "kind_name": kind.name if kind else "",
        "buffer_before": kind.before if kind else 0,
        "buffer_after": kind.after if kind else 0,
    }
