"""A licence is about to expire: the owner is told in time. Planned with the licence's own row."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import Final

from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import StaffRule
from practice.core.decisions import PRACTICE_ITSELF, Job
from practice.jobs.planning import write_jobs
from practice.people_and_places.models.practitioners import Licence
from practice.policy.selectors import practice_get

LONGEST_LEAD_DAYS: Final = 181
"""A day more than the greatest lead time that the setting takes."""


def plan_licence_reminder(row: Licence) -> None:
    """With a licence that was added or renewed; a renewed one is an occasion of its own."""
    begins = row.expires_on - timedelta(days=LONGEST_LEAD_DAYS)
    due_at = datetime.combine(begins, time(0), UTC)
    occasion = f"r{row.revision}"
    write_jobs([Job(LICENCE_EXPIRING.job, PRACTICE_ITSELF, row.pk, occasion, due_at=due_at)])


def _decide(asked: Question, _: None) -> Wanted | None:
    """None where the practitioner has another that holds for longer, or left."""
    row = Licence.objects.select_related("practitioner").filter(pk=asked.about).first()
    if row is None:
        return None
    holder = row.practitioner
    others = Licence.objects.filter(
        practitioner=holder, jurisdiction=row.jurisdiction, credential=row.credential
    )
    if not holder.is_active or others.filter(expires_on__gt=row.expires_on).exists():
        return None
    zone = practice_get().zone
    return Wanted(
        occasion=row.expires_on.isoformat(),
        day=row.expires_on,
        at=asked.rule.goes_at(row.expires_on, zone, days_before=asked.rule.lead_days),
        told=f"The licence {row.number} ({row.jurisdiction}) of {holder.name} expires on"
        f" {row.expires_on}.",
    )


LICENCE_EXPIRING = ReminderKind(job="remind_licence_expiring", settings=StaffRule, decide=_decide)
