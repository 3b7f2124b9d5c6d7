"""How often a client comes: sessions of a week against those planned, and no-shows. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from typing import NamedTuple
from uuid import UUID

from practice.core.reasons import Reason
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionStatus
from sessions.calendar.domain.settings import CalendarSettings

COMING = (*TIME_HOLDING_STATUSES, SessionStatus.COMPLETED)
"""Sessions that count for a week: booked, under way or done."""


class ClientSession(NamedTuple):
    """A session of the client, on the local day of its facility."""

    id: UUID
    day: date
    status: str


def week_of(day: date) -> date:
    """The Monday of a day's week (ISO 8601)."""
    return day - timedelta(days=day.isoweekday() - 1)


def booked_in_week(
    sessions: Iterable[ClientSession], day: date, without: UUID | None = None
) -> int:
    """How many sessions the client has in the week of a day, one of them perhaps left out."""
    week = week_of(day)
    return sum(
        one.status in COMING and one.id != without and week_of(one.day) == week for one in sessions
    )


def no_show_days(
    sessions: Iterable[ClientSession], today: date, settings: CalendarSettings
) -> list[date]:
    """The days of the practice's period, today the last of them, on which the client did not
    come; in order, one for each session."""
    first = today - timedelta(days=settings.no_show_days)
    return sorted(
        one.day
        for one in sessions
        if one.status == SessionStatus.NO_SHOW and first < one.day <= today
    )


def often_missed(missed: Collection[date], settings: CalendarSettings) -> bool:
    """Whether the client did not come so often that the practice wants to be told."""
    return 0 < settings.no_show_warning <= len(missed)


def no_show_warnings(missed: Collection[date], settings: CalendarSettings) -> list[Reason]:
    """A warning where the client did not come as often as the practice wants to be told."""
    if not often_missed(missed, settings):
        return []
    text = (
        f"The client did not come {len(missed)} times in the last {settings.no_show_days} days:"
        " have the time confirmed."
    )
    return [Reason(code="no_shows", text=text, source="practice policy")]


def week_warnings(planned: int | None, booked: int, day: date) -> list[Reason]:
    """A warning where a week has more sessions than planned, ``booked`` with this one."""
    if planned is None or booked <= planned:
        return []
    text = (
        f"With this one {booked} sessions are booked in the week of {week_of(day)}:"
        f" {planned} a week {'is' if planned == 1 else 'are'} planned."
    )
    return [Reason(code="more_than_planned", text=text, source="the client's record")]
