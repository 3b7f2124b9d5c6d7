"""The session of tomorrow: a reminder, planned with the booking."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import SessionRule
from practice.core.localtime import zone_named
from sessions.booking.domain.jobs import SESSION_REMINDER
from sessions.calendar.models import Session


def _read(asked: Sequence[Question]) -> dict[UUID, Session]:
    """Those of the sessions that are booked."""
    booked = Session.objects.filter(status="booked")
    return booked.in_bulk({one.about for one in asked})


def _decide(asked: Question, booked: Mapping[UUID, Session]) -> Wanted | None:
    """None where it was moved or called off, or the client has come."""
    row = booked.get(asked.about)
    if row is None:
        return None
    local = row.starts_at.astimezone(zone_named(row.zone))
    return Wanted(
        occasion=str(int(row.starts_at.timestamp())),  # Moved, it is another occasion.
        day=row.local_date,
        at=asked.rule.goes_at(row.local_date, row.zone, days_before=asked.rule.lead_days),
        until=row.starts_at,
        told=f"The client is expected on {row.local_date} at {local:%H:%M}.",
        facts={"day": row.local_date, "time": local.time()},
    )


SESSION_TOMORROW = ReminderKind(
    job=SESSION_REMINDER, settings=SessionRule, read=_read, decide=_decide
)
