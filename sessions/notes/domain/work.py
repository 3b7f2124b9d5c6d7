"""From when to when the parts of a session lay, and what cannot be about that. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from practice.core.terms import SessionPart
from sessions.notes.domain.terms import PartSpan


def minutes_of_spans(spans: Iterable[PartSpan]) -> dict[SessionPart, int]:
    """Whole minutes of each part between its starts and stops."""
    found: dict[SessionPart, timedelta] = {}
    for one in spans:
        found[one.part] = found.get(one.part, timedelta()) + (one.stopped_at - one.started_at)
    return {part: time // timedelta(minutes=1) for part, time in found.items()}


def wrong_spans(spans: Iterable[PartSpan]) -> dict[str, str]:
    """What cannot be about starts and stops, by field: a minute of the client counts once."""
    wrong: dict[str, str] = {}
    before: PartSpan | None = None
    for one in sorted(spans, key=lambda span: (span.started_at, span.stopped_at, span.line_id)):
        if one.stopped_at <= one.started_at:
            wrong[f"spans.{one.line_id}"] = "The stop must be after the start."
        elif before is not None and one.started_at < before.stopped_at:
            wrong[f"spans.{one.line_id}"] = f"It begins before {before.part} has stopped."
        if before is None or one.stopped_at > before.stopped_at:
            before = one
    return wrong
