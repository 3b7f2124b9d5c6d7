"""The hours of the client's own day in which they may be contacted. Pure."""

from __future__ import annotations

from datetime import datetime, time, timedelta

import msgspec

from clients.identity.domain.contact import ContactHours, contact_begins
from practice.core.localtime import zone_named


class ReminderSettings(msgspec.Struct, frozen=True):
    """Hours of the client's day, 0 to 23. The same hour twice: reminders go at any hour."""

    quiet_from_hour: int
    quiet_until_hour: int


def contact_from(
    now: datetime, zone: str, hours: ContactHours | None, settings: ReminderSettings
) -> datetime | None:
    """When the client may be got in touch with next, or None for ``now``: in the hours that they
    named, else outside the quiet ones."""
    return contact_begins(now, zone, hours) if hours else quiet_hours_end(now, zone, settings)


def quiet_hours_end(now: datetime, zone: str, settings: ReminderSettings) -> datetime | None:
    """When reminders may go again, or None where they may go at ``now``."""
    local = now.astimezone(zone_named(zone))
    begin, end = settings.quiet_from_hour, settings.quiet_until_hour
    over_midnight = begin > end
    evening, morning = local.hour >= begin, local.hour < end
    quiet = (evening or morning) if over_midnight else (evening and morning)
    if not quiet:
        return None
    day = local.date() + timedelta(days=1 if over_midnight and evening else 0)
    return datetime.combine(day, time(end), zone_named(zone))
