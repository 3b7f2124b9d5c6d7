"""The sentence of the history on the hour of a session."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from clients.identity.domain.event_texts import event_text
from sessions.session_split.domain.events import SessionSplitSet


@event_text(SessionSplitSet)
def _split(event: SessionSplitSet) -> str:
    parts = ", ".join(f"{words_text([one.part])} {one.minutes}" for one in event.minutes)
    return f"The session was split, in minutes: {parts}."
