"""A touch consent is about to end: a reminder, planned with the consent."""

from __future__ import annotations

from clients.consent.domain.jobs import CONSENT_REMINDER
from clients.consent.models import Consent
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import ClientRule
from practice.core.localtime import day_bounds
from practice.policy.selectors import practice_get


def _decide(asked: Question) -> Wanted | None:
    """None where it was withdrawn (only one that stands has a last day), or another stands in
    its place."""
    row = Consent.objects.filter(pk=asked.client_id, consent_id=asked.about).first()
    if row is None or row.until is None:
        return None
    zone = practice_get().zone
    return Wanted(
        occasion=row.until.isoformat(),
        day=row.until,
        at=asked.rule.goes_at(row.until, zone, days_before=asked.rule.lead_days),
        until=day_bounds(row.until, zone)[1],
        told=f"A form that the client signed ends on {row.until}: ask for a new one.",
        facts={"day": row.until},
    )


CONSENT_EXPIRING = ReminderKind(job=CONSENT_REMINDER, settings=ClientRule, decide=_decide)
