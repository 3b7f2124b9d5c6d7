"""A re-check is due: reminders ahead, at the day, and each week that it is overdue."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
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


def _open(**recheck_ids: UUID) -> QuerySet[Any, Any]:
    found = Recheck.objects.filter(
        pk__in=list(recheck_ids.values()), status=RecheckStatus.ON_CALL_LIST.value
    )
    return found.values_list("id", "client_id", "facility_id", "due_on")


def _ahead(*, now: datetime, **client_ids: UUID) -> QuerySet[Any, Any]:
    found = Session.objects.filter(
        client_id__in=list(client_ids.values()), status__in=TIME_HOLDING_STATUSES, ends_at__gt=now
    )
    return found.values_list("client_id", "id", "starts_at", "ends_at")


_OPEN, _AHEAD = KeptQuery(_open), KeptQuery(_ahead)


@dataclass(frozen=True)
class _Found:
    """Open re-checks by their id: client, facility and the day they are due; and the sessions
    that their clients have ahead."""

    rechecks: dict[UUID, tuple[UUID, UUID | None, date]]
    ahead: dict[UUID, list[UpcomingSession]]


def _read(asked: Sequence[Question]) -> _Found:
    rows = _OPEN.rows(**_numbered({one.about for one in asked}))
    found = _Found({pk: tuple(rest) for pk, *rest in rows}, defaultdict(list))
    clients = {client_id for _, client_id, *_ in rows}
    if clients:
        for client_id, *rest in _AHEAD.rows(now=asked[0].now, **_numbered(clients)):
            found.ahead[client_id].append(UpcomingSession(*rest))
    return found


def _numbered(ids: Collection[UUID]) -> dict[str, UUID]:
    """Ids as values of a kept query: a statement for each number of them."""
    return {f"id_{number}": one for number, one in enumerate(ids)}


def _decide(asked: Question, found: _Found) -> Wanted | None:
    """None where it was done or skipped, a session near its date or near today carries it, or
    it was repeated as often as the practice does."""
    row = found.rechecks.get(asked.about)
    weeks = step_of(asked.occasion)
    if row is None or (weeks is not None and weeks > asked.rule.most_repeats):
        return None
    client_id, facility_id, due_on = row
    zone = zone_of(facility_id)
    if _carried(found.ahead.get(client_id, ()), due_on, zone, asked.now):
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


def _carried(ahead: Sequence[UpcomingSession], due_on: date, zone: str, now: datetime) -> bool:
    """Whether a session near the due day carries it, or one near today where that has passed."""
    policy, _ = recheck_settings()
    due = max(due_on, local_day(now, zone))
    return covering_session(due, zone, ahead, policy, now) is not None


RECHECK_DUE = ReminderKind(
    job=REMINDER_JOB,
    settings=RecheckRule,
    read=_read,
    decide=_decide,
    on_call_list=True,
)
