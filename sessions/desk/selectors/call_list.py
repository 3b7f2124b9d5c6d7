"""A page of the call list with what the desk needs to call: the same queries for any page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

import msgspec

from clients.calls.rendering import with_callers
from clients.calls.selectors import CallEntry
from clients.identity.domain.contact import ContactHours, Phone
from clients.identity.models import Client
from clients.reminders.domain.hours import ReminderSettings, contact_from
from practice.core.localtime import local_day, zone_named
from practice.policy.selectors import settings_group
from sessions.calendar.selectors.facilities import zone_of
from sessions.desk.selectors.guardians import guardians_asked, told


def shown_calls(entries: Sequence[CallEntry], now: datetime) -> list[dict[str, Any]]:
    """The rows of a page with names, phones and when the client may be called."""
    wanted = Client.objects.filter(pk__in={one.client_id for one in entries})
    people = {one.pk: one for one in wanted}
    hours, _ = settings_group("reminders", ReminderSettings)
    with_callers([one.last for one in entries if one.last is not None])
    guardians = guardians_asked(people.values(), local_day(now, zone_of(None)))
    return [
        {
            **_shown(one, people.get(one.client_id), hours, now),
            "guardian": told(guardians[one.client_id]) if one.client_id in guardians else "",
        }
        for one in entries
    ]


def best_time(client: Client) -> str:
    """When the client is best called at the number that stands first, in their words."""
    phones = msgspec.convert(client.phones, tuple[Phone, ...])
    return phones[0].best_time if phones else ""


def _shown(
    one: CallEntry, client: Client | None, hours: ReminderSettings, now: datetime
) -> dict[str, Any]:
    """Best called now, unless it is outside the hours that they named, or, where they named
    none, an hour of theirs at which nobody is written to."""
    zone = client.zone if client else "UTC"
    here = zone_named(zone)
    named = msgspec.convert(client.contact_hours, ContactHours | None) if client else None
    later = contact_from(now, zone, named, hours)
    return {
        "client_id": one.client_id,
        "client_name": client.name if client else "",
        "client_phone": client.phone if client else "",
        "client_contact_by": client.contact_by if client else "none",
        "reason": one.reason,
        "about_id": one.about,
        "call_by": one.call_by,
        "text": one.text,
        "their_time": f"{now.astimezone(here):%H:%M}",
        "call_from": later.astimezone(here) if later else None,
        "best_time": best_time(client) if client else "",
        "last_call": one.last,
    }
