"""What to heed as a session is opened. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from practice.core.reasons import Reason
from sessions.calendar.domain.overlaps import TakenTime, overlap_warnings
from sessions.calendar.domain.session_state import SessionState


def opening_warnings(
    session: SessionState, taken: Iterable[TakenTime], now: datetime
) -> list[Reason]:
    """Opened outside its booked time, or while another session of the same people runs."""
    begin = now if now < session.ends_at else session.starts_at
    found = overlap_warnings(begin, session.ends_at, session.zone, taken)
    if session.starts_at <= now < session.ends_at:
        return found
    here = ZoneInfo(session.zone)
    text = (
        f"Opened outside its booked time, {session.starts_at.astimezone(here):%H:%M} to"
        f" {session.ends_at.astimezone(here):%H:%M}: its start is not taken from the opening."
        " The note may set start and end."
    )
    return [Reason(code="opened_outside_booked_time", text=text, source="practice policy"), *found]
