"""An authorization runs out or ends: the desk is told. Planned with it and with what uses it."""

from __future__ import annotations

from billing.authorizations.domain.jobs import ENDING_REMINDER, LOW_REMINDER
from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import running_out
from billing.payers.selectors import practice_today
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import StaffRule
from practice.core.localtime import day_bounds
from practice.policy.selectors import practice_get


def _ending(asked: Question, _: None) -> Wanted | None:
    """None where it was voided, or another begins after it with the same payer."""
    row = Authorization.objects.filter(pk=asked.about, voided_at=None).first()
    if row is None:
        return None
    next_ones = Authorization.objects.filter(
        client_id=row.client_id, payer_id=row.payer_id, voided_at=None, last_day__gt=row.last_day
    )
    if next_ones.exists():
        return None
    zone = practice_get().zone
    return Wanted(
        occasion=row.last_day.isoformat(),
        day=row.last_day,
        at=asked.rule.goes_at(row.last_day, zone, days_before=asked.rule.lead_days),
        until=day_bounds(row.last_day, zone)[1],
        told=f"The authorization {row.number} ends on {row.last_day}.",
    )


def _low(asked: Question, _: None) -> Wanted | None:
    """None where enough is left by the settings of billing."""
    mine = Authorization.objects.filter(pk=asked.about)
    row = running_out(mine, practice_today()).first()
    if row is None:
        return None
    given = (row.visits_authorized, row.units_authorized, row.minutes_authorized)
    return Wanted(
        occasion=f"of {'/'.join('-' if one is None else str(one) for one in given)}",
        day=row.last_day,
        at=asked.now,
        told=f"Of the authorization {row.number} little is left.",
    )


AUTHORIZATION_ENDING = ReminderKind(job=ENDING_REMINDER, settings=StaffRule, decide=_ending)
AUTHORIZATION_LOW = ReminderKind(job=LOW_REMINDER, settings=StaffRule, decide=_low)
