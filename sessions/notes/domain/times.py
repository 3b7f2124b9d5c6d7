"""When a session took place, and where that is known from. Pure.

Ruling of the practice: opened within the booked time, the start is the opening;
otherwise the arrival, if that lies within it; else the booked start, so that a session
opened ahead never reaches into the one before it. The end is the booked one. The
practitioner may set both, never in the future. Seconds are dropped: notes count whole
minutes of the clock.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import msgspec

from sessions.calendar.domain.session_state import SessionState
from sessions.notes.domain.events import SessionTimes, TimeSource

MINUTE = timedelta(minutes=1)


def start_text(times: SessionTimes, zone: str) -> str:
    """The start on the clock of a zone, e.g. ``10:00 (from booking)``."""
    return _text(times.started_at, times.started_from, zone)


def end_text(times: SessionTimes, zone: str) -> str:
    """The end on the clock of a zone."""
    return _text(times.ended_at, times.ended_from, zone)


def session_times(
    session: SessionState, *, started_at: datetime | None = None, ended_at: datetime | None = None
) -> SessionTimes:
    """When a session took place; ``started_at`` and ``ended_at`` as the practitioner set them."""
    begin, begin_from = _start(session)
    derived = SessionTimes(
        started_at=begin,
        started_from=begin_from,
        ended_at=session.ends_at,
        ended_from=TimeSource.BOOKING,
    )
    return with_times_set(derived, started_at, ended_at)


def with_times_set(
    times: SessionTimes, started_at: datetime | None, ended_at: datetime | None
) -> SessionTimes:
    """The times with what the practitioner set in place of what was known; None leaves it."""
    if started_at is not None:
        times = msgspec.structs.replace(
            times, started_at=_whole(started_at), started_from=TimeSource.PRACTITIONER
        )
    if ended_at is not None:
        times = msgspec.structs.replace(
            times, ended_at=_whole(ended_at), ended_from=TimeSource.PRACTITIONER
        )
    return times


def wrong_times(
    times: SessionTimes, near: datetime, longest_minutes: int, now: datetime
) -> dict[str, str]:
    """What cannot be about times, by field. ``near``: the start that is known otherwise.

    Only what the practitioner set is evaluated, and an end that is not after the start.
    """
    wrong: dict[str, str] = {}
    for field, at, known_from in (
        ("started_at", times.started_at, times.started_from),
        ("ended_at", times.ended_at, times.ended_from),
    ):
        if known_from is not TimeSource.PRACTITIONER:
            continue
        if at > now:
            wrong[field] = "That time has not come yet."
        elif abs(at - near) > longest_minutes * MINUTE:
            wrong[field] = f"More than {longest_minutes} minutes from the start that is known."
    if not wrong and times.ended_at <= times.started_at:
        wrong["ended_at"] = "The end must be after the start; set the end too."
    return wrong


def _start(session: SessionState) -> tuple[datetime, TimeSource]:
    if not session.late_entry:
        for at, source in (
            (session.opened_at, TimeSource.OPENING),
            (session.arrived_at, TimeSource.ARRIVAL),
        ):
            if at is not None and session.starts_at <= at < session.ends_at:
                return max(_whole(at), session.starts_at), source
    return session.starts_at, TimeSource.BOOKING


def _whole(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)


def _text(at: datetime, source: TimeSource, zone: str) -> str:
    words = "as set" if source is TimeSource.PRACTITIONER else f"from {source.value}"
    return f"{at.astimezone(ZoneInfo(zone)):%H:%M} ({words})"
