"""Columns of a session's row that are made from what an event holds. Pure."""

from __future__ import annotations

from typing import Any

import msgspec

from practice.core.reasons import Reason
from sessions.calendar.domain import terms
from sessions.calendar.domain.narrowing import closed_in, narrowed_groups
from sessions.calendar.domain.stretch_groups import NarrowedGroup
from sessions.calendar.domain.terms import BookedKind


def plain(reasons: tuple[Reason, ...]) -> list[dict[str, Any]]:
    """Reasons as a row keeps them."""
    kept: list[dict[str, Any]] = msgspec.to_builtins(reasons)
    return kept


def closed(snapshot: terms.PermissionsSnapshot) -> list[dict[str, Any]]:
    """What is not by hand, and why, of what was permitted."""
    groups, reasons = narrowed_groups(closed_in(snapshot))
    return stretches(groups, reasons)


def stretches(
    groups: tuple[NarrowedGroup, ...], reasons: tuple[Reason, ...]
) -> list[dict[str, Any]]:
    """Groups of stretches that narrowed, each with its reasons."""
    return [
        {
            "was": one.was.value,
            "mode": one.now.value,
            "reasons": plain(tuple(reasons[place] for place in one.reasons)),
            "of": msgspec.to_builtins(one.of),
        }
        for one in groups
    ]


def kind_columns(kind: BookedKind | None) -> dict[str, Any]:
    """Its columns; nothing is held beside the session where no kind was named."""
    return {
        "kind_id": kind.kind_id if kind else None,
        "kind_name": kind.name if kind else "",
        "buffer_before": kind.before if kind else 0,
        "buffer_after": kind.after if kind else 0,
    }
