"""A re-check is due: reminders ahead, at the day, and each week that it is overdue."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import RecheckRule, Wording
from practice.core.localtime import day_bounds, local_day
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.stretches.domain.call_list import UpcomingSession, covering_session
from sessions.stretches.domain.jobs import REMINDER_JOB, step_of
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.settings import recheck_settings

WEEK = timedelta(days=7)


def _decide(asked: Question) -> Wanted | None:
    """None where it was done or skipped, a session near its date or near today carries it, or
    it was repeated as often as the practice does."""
    row = Recheck.objects.filter(pk=asked.about, status=RecheckStatus.ON_CALL_LIST).first()
    weeks = step_of(asked.occasion)
    if row is None or (weeks is not None and weeks > asked.rule.most_repeats):
        return None
    zone = zone_of(row.facility_id)
    if _carried(row, zone, asked.now):
        return None
    if weeks is None:
        first = row.due_on - timedelta(days=asked.rule.lead_days)
        last, wording, occasion = row.due_on, None, "ahead"
    else:
        first = row.due_on + weeks * WEEK
        last, occasion = first + WEEK, f"overdue {weeks}" if weeks else "day"
        wording = Wording.STILL_TO_COME if weeks else None
    return Wanted(
        occasion=occasion,
        day=row.due_on,
        at=asked.rule.goes_at(first, zone, days_before=0),
        until=day_bounds(last, zone)[0],
        told=f"The next visit is due on {row.due_on}.",
        facts={"day": row.due_on},
        wording=wording,
    )


def _carried(row: Recheck, zone: str, now: datetime) -> bool:
    """Whether a session near the due day carries it, or one near today where that has passed."""
    policy, _ = recheck_settings()
    ahead = Session.objects.filter(
        client_id=row.client_id, status__in=TIME_HOLDING_STATUSES, ends_at__gt=now
    )
    upcoming = [
        UpcomingSession(*found) for found in ahead.values_list("id", "starts_at", "ends_at")
    ]
    due: date = max(row.due_on, local_day(now, zone))
    return covering_session(due, zone, upcoming, policy, now) is not None


RECHECK_DUE = ReminderKind(
    job=REMINDER_JOB,
    settings=RecheckRule,
    decide=_decide,
    on_call_list=True,
)
