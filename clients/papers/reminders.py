"""A paper was not answered by the day it was needed: the desk is told. Planned with it."""

from __future__ import annotations

from clients.papers.domain.jobs import PAPER_REMINDER
from clients.papers.domain.terms import PaperStatus
from clients.papers.models import Paper
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import StaffRule


def _decide(asked: Question, _: None) -> Wanted | None:
    """None where the answer came, or it is waited for no more."""
    row = Paper.objects.filter(pk=asked.about, status=PaperStatus.WAITING).first()
    if row is None:
        return None
    return Wanted(
        occasion=row.needed_by.isoformat(),
        day=row.needed_by,
        at=asked.rule.goes_at(row.needed_by, row.zone, days_before=-asked.rule.lead_days),
        told=f"A paper was needed by {row.needed_by} and is not answered.",
    )


PAPER_UNANSWERED = ReminderKind(job=PAPER_REMINDER, settings=StaffRule, decide=_decide)
