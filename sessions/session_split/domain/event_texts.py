"""The sentence of the history on the session split."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.session_split.domain import events

EVENT_TEXTS = EventTexts("session_split", label="Split of the session", watches=(events,))


@EVENT_TEXTS.on(events.SessionSplitSet)
def split(event: events.SessionSplitSet, meta: RecordedEvent) -> str:
    parts = ", ".join(f"{words_text([one.part])} {one.minutes}" for one in event.minutes)
    return f"The session was split, in minutes: {parts}."
