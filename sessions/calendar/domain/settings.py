"""The practice's settings of the calendar (group ``calendar``)."""

from __future__ import annotations

from datetime import date

import msgspec


class CalendarSettings(msgspec.Struct, frozen=True, kw_only=True):
    """``open_weekdays``: ISO weekdays (Monday 1) of a facility without opening hours on record;
    ``closed_days`` close every facility, with ``closes_on_public_holidays`` also those of its
    jurisdiction. ``absence_sessions_shown``: so many are shown at once with their stand-ins.
    ``no_show_warning``: after so many no-shows within ``no_show_days`` a booking is warned of
    them; 0: never. ``far_ahead_months``: a session more calendar months ahead is warned of."""

    shortest_session_minutes: int
    longest_session_minutes: int
    start_grace_minutes: int
    arrival_hours_before: int
    late_cancellation_hours: int
    open_times_step_minutes: int
    open_times_days: int
    afternoon_hour: int
    evening_hour: int
    late_entry_days: int
    longest_overrun_minutes: int
    open_weekdays: tuple[int, ...]
    closed_days: tuple[date, ...]
    no_show_days: int
    no_show_warning: int
    closes_on_public_holidays: bool
    absence_sessions_shown: int
    far_ahead_months: int
