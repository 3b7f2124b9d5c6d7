"""A re-check is due: reminders ahead, at the day, and each week that it is overdue."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import RecheckRule, Wording
from practice.core.localtime import day_bounds, local_day
from practice.work.kept_queries import KeptQuery
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.stretches.domain.call_list import UpcomingSession, covering_session
from sessions.stretches.domain.jobs import REMINDER_JOB, step_of
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.settings import recheck_settings

WEEK = timedelta(days=7)


def _open(recheck_id: UUID) -> QuerySet[Any, Any]:
    found = Recheck.objects.filter(pk=recheck_id, status=RecheckStatus.ON_CALL_LIST.value)
    return found.values_list("client_id", "facility_id", "due_on")


def _ahead(client_id: UUID, now: datetime) -> QuerySet[Any, Any]:
    found = Session.objects.filter(
        client_id=client_id, status__in=TIME_HOLDING_STATUSES, ends_at__gt=now
    )
    return found.values_list("id", "starts_at", "ends_at")


_OPEN, _AHEAD = KeptQuery(_open), KeptQuery(_ahead)


def _decide(asked: Question) -> Wanted | None:
    """None where it was done or skipped, a session near its date or near today carries it, or
    it was repeated as often as the practice does."""
    rows = _OPEN.rows(recheck_id=asked.about)
    weeks = step_of(asked.occasion)
    if not rows or (weeks is not None and weeks > asked.rule.most_repeats):
        return None
    ((client_id, facility_id, due_on),) = rows
    zone = zone_of(facility_id)
    if _carried(client_id, due_on, zone, asked.now):
        return None
    if weeks is None:
        first = due_on - timedelta(days=asked.rule.lead_days)
        last, wording, occasion = due_on, None, "ahead"
    else:
        first = due_on + weeks * WEEK
        last, occasion = first + WEEK, f"overdue {weeks}" if weeks else "day"
        wording = Wording.STILL_TO_COME if weeks else None
    return Wanted(
        occasion=occasion,
        day=due_on,
        at=asked.rule.goes_at(first, zone, days_before=0),
        until=day_bounds(last, zone)[0],
        told=f"The next visit is due on {due_on}.",
        facts={"day": due_on},
        wording=wording,
    )


def _carried(client_id: UUID, due_on: date, zone: str, now: datetime) -> bool:
    """Whether a session near the due day carries it, or one near today where that has passed."""
    policy, _ = recheck_settings()
    upcoming = [UpcomingSession(*found) for found in _AHEAD.rows(client_id=client_id, now=now)]
    due = max(due_on, local_day(now, zone))
    return covering_session(due, zone, upcoming, policy, now) is not None


RECHECK_DUE = ReminderKind(
    job=REMINDER_JOB,
    settings=RecheckRule,
    decide=_decide,
    on_call_list=True,
)
