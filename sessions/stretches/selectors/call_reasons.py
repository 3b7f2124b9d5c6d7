"""Re-checks on the call list: that they are due, and that their mail was not sent."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from practice.core.localtime import zone_named
from sessions.calendar.selectors.facilities import zone_of
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.rechecks import with_next_session
from sessions.stretches.selectors.unsent import mail_not_sent


def _waiting() -> QuerySet[Recheck]:
    return Recheck.objects.filter(status=RecheckStatus.ON_CALL_LIST, on_call_list_at__isnull=False)


def _due(_now: datetime) -> QuerySet[Recheck]:
    return _waiting().filter(~mail_not_sent())


def _not_sent(_now: datetime) -> QuerySet[Recheck]:
    return _waiting().filter(mail_not_sent())


def _told(rows: Sequence[Recheck], now: datetime) -> list[str]:
    """When it is due, and the next session if one is booked, on the facility's clock."""
    texts = []
    for row in with_next_session(rows, now):
        next_at = row.next_session_at  # type: ignore[attr-defined]
        text = f"A re-check is due on {row.due_on.isoformat()}."
        if next_at is not None:
            local = next_at.astimezone(zone_named(zone_of(row.facility_id)))
            text += f" The client comes on {local:%Y-%m-%d} at {local:%H:%M}."
        texts.append(text)
    return texts


def _told_unsent(rows: Sequence[Recheck], now: datetime) -> list[str]:
    return [f"{text} The mail was not sent." for text in _told(rows, now)]


RECHECKS_DUE = CallSource(
    reason="recheck_due",
    explained="A re-check is due.",
    rows=_due,
    by="due_on",
    about="id",
    since="on_call_list_at",
    told=_told,
)
REMINDERS_NOT_SENT = CallSource(
    reason="reminder_not_sent",
    explained="A re-check is due and its mail was not sent.",
    rows=_not_sent,
    by="due_on",
    about="id",
    since="on_call_list_at",
    told=_told_unsent,
)
