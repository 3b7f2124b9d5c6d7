"""A note is not signed after some days: its author is told. Planned with the arrival."""

from __future__ import annotations

from datetime import timedelta

from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import StaffRule
from sessions.calendar.models import Session
from sessions.notes.domain.jobs import NOTE_REMINDER
from sessions.notes.selectors.upcoming import unsigned_sessions


def _decide(asked: Question, _: None) -> Wanted | None:
    """None where it was signed, or the client did not come after all."""
    theirs = Session.objects.filter(client_id=asked.client_id, pk=asked.about)
    row = unsigned_sessions(theirs).first()
    if row is None:
        return None
    return Wanted(
        occasion="unsigned",
        day=row.local_date,
        at=row.ends_at + timedelta(days=asked.rule.lead_days),
        told=f"The note of the session on {row.local_date} is not signed.",
        practitioner_id=row.practitioner_id,
    )


NOTE_UNSIGNED = ReminderKind(job=NOTE_REMINDER, settings=StaffRule, decide=_decide)
