"""A touch consent is about to end: a reminder, planned with the consent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.jobs import CONSENT_REMINDER
from clients.consent.domain.standing import stands, who_renews
from clients.consent.models import Consent
from clients.consent.selectors import Signing, ages_for, signing_of
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import ConsentRule
from practice.core.localtime import day_bounds
from practice.policy.selectors import practice_get


@dataclass(frozen=True)
class _Found:
    """Consents by client; of those with a last day who consents, and of what age on that day."""

    consents: Mapping[UUID, Consent]
    signing: Mapping[UUID, Signing]
    ages: Mapping[UUID, AgeOfConsent]


def _read(asked: Sequence[Question]) -> _Found:
    rows = Consent.objects.in_bulk({one.client_id for one in asked})
    by_day: defaultdict[date, list[Consent]] = defaultdict(list)
    for row in rows.values():
        if row.until is not None:
            by_day[row.until].append(row)
    signing = signing_of(row for some in by_day.values() for row in some)
    ages: dict[UUID, AgeOfConsent] = {}
    for day, some in by_day.items():
        ages |= ages_for({row.pk: signing[row.pk] for row in some}, day)
    return _Found(rows, signing, ages)


def _decide(asked: Question, found: _Found) -> Wanted | None:
    """None where it was withdrawn (only one that stands has a last day), another stands in its
    place, or who signed it could not: then it does not stand, and the desk asks."""
    row = found.consents.get(asked.client_id)
    if row is None or row.until is None or row.consent_id != asked.about:
        return None
    signing, age = found.signing[row.pk], found.ages[row.pk]
    if not stands(*signing, row.until, age):
        return None
    zone, whom = practice_get().zone, who_renews(*signing, age)
    return Wanted(
        occasion=row.until.isoformat(),
        day=row.until,
        at=asked.rule.goes_at(row.until, zone, days_before=asked.rule.lead_days),
        until=day_bounds(row.until, zone)[1],
        told=f"A consent form ends on {row.until}: ask the {whom} for a new one.",
        facts={"day": row.until},
    )


CONSENT_EXPIRING = ReminderKind(
    job=CONSENT_REMINDER, settings=ConsentRule, read=_read, decide=_decide
)
