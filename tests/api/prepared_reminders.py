"""A reminder that the desk tells, for the examples."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

from clients.reminders.models import Reminder
from tests.sessions.people import reminder_of

if TYPE_CHECKING:
    from tests.api.prepared import Prepared


def listed_reminder(p: Prepared) -> str:
    """One that is told by a person."""
    row = reminder_of(UUID(p.id("client")), UUID(p.id("session")), "listed")
    Reminder.objects.filter(pk=row.pk).update(channel="list", addressee="desk")
    return str(row.pk)
