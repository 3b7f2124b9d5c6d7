"""The sentence of the history on the hour of a session."""

from __future__ import annotations

from clients.domain.sentences import listed, says
from sessions.domain.hour.events import HourSplit


@says(HourSplit)
def _split(event: HourSplit) -> str:
    parts = ", ".join(f"{listed([one.part])} {one.minutes}" for one in event.minutes)
    return f"The hour was planned, in minutes: {parts}."
