"""A touch consent is about to end: a reminder, planned with the consent."""

from __future__ import annotations

from clients.consent.domain.jobs import CONSENT_REMINDER
from clients.consent.domain.standing import stands, who_renews
from clients.consent.models import Consent
from clients.consent.selectors import ages_for, signing_of
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import ConsentRule
from practice.core.localtime import day_bounds
from practice.policy.selectors import practice_get


def _decide(asked: Question) -> Wanted | None:
    """None where it was withdrawn (only one that stands has a last day), another stands in its
    place, or who signed it could not: then it does not stand, and the desk asks."""
    row = Consent.objects.filter(pk=asked.client_id, consent_id=asked.about).first()
    if row is None or row.until is None:
        return None
    signing = signing_of([row])
    age = ages_for(signing, row.until)[row.pk]
    if not stands(*signing[row.pk], row.until, age):
        return None
    zone, whom = practice_get().zone, who_renews(*signing[row.pk], age)
    return Wanted(
        occasion=row.until.isoformat(),
        day=row.until,
        at=asked.rule.goes_at(row.until, zone, days_before=asked.rule.lead_days),
        until=day_bounds(row.until, zone)[1],
        told=f"A consent form ends on {row.until}: ask the {whom} for a new one.",
        facts={"day": row.until},
    )


CONSENT_EXPIRING = ReminderKind(job=CONSENT_REMINDER, settings=ConsentRule, decide=_decide)
