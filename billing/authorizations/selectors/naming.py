"""What a person reads beside the ids of authorizations: names, and why to look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db.models import Q

from billing.authorizations.domain.advisories import (
    RemainingBalance,
    booked_after_end,
    running_out_reasons,
    used_after_end,
)
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import billing_settings
from billing.payers.selectors import payer_names, practice_today
from clients.identity.display_names import with_display_names
from sessions.calendar.domain.state import SessionStatus
from sessions.calendar.models import Session


def name_authorizations(rows: Iterable[Authorization]) -> list[Authorization]:
    """The rows with ``client_name``, ``payer_name``, ``used_after_end`` (days, oldest first),
    ``warnings`` and ``running_out`` (reasons) as attributes; the same queries for any number."""
    found = with_display_names(rows)
    if not found:
        return found
    payers, after, ahead = payer_names(found), days_after_end(found), booked_after(found)
    day, settings = practice_today(), billing_settings()
    for row in found:
        row.payer_name = payers.get(row.payer_id, "")  # type: ignore[attr-defined]
        row.used_after_end = after[row.pk]  # type: ignore[attr-defined]
        row.warnings = [  # type: ignore[attr-defined]
            *used_after_end(row.number, row.last_day, after[row.pk]),
            *booked_after_end(row.number, row.last_day, ahead[row.pk]),
        ]
        row.running_out = running_out_reasons(_rest(row), day, settings)  # type: ignore[attr-defined]
    return found


def days_after_end(rows: Iterable[Authorization]) -> defaultdict[UUID, list[date]]:
    """Days of visits that hold units of an authorization though they lie after its last day."""
    last = {row.pk: row.last_day for row in rows}
    held = (
        Visit.objects.filter(Q(used_units_total__gt=0) | Q(awaiting_override=True))
        .filter(authorization_id__in=last, local_date__gt=min(last.values()))
        .order_by("local_date", "id")
        .values_list("authorization_id", "local_date")
    )
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for authorization_id, day in held:
        if authorization_id and day > last[authorization_id] and day not in found[authorization_id]:
            found[authorization_id].append(day)
    return found


def booked_after(rows: Iterable[Authorization]) -> defaultdict[UUID, list[date]]:
    """Days after an authorization's last day for which its client has sessions booked."""
    last: dict[UUID, list[Authorization]] = defaultdict(list)
    for row in rows:
        last[row.client_id].append(row)
    booked = (
        Session.objects.filter(client_id__in=last, status=SessionStatus.BOOKED)
        .order_by("local_date")
        .values_list("client_id", "local_date")
        .distinct()
    )
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for client_id, day in booked:
        for row in last[client_id]:
            if day > row.last_day:
                found[row.pk].append(day)
    return found


def _rest(row: Authorization) -> RemainingBalance:
    return RemainingBalance(
        number=row.number,
        starts_on=row.starts_on,
        last_day=row.last_day,
        visits=row.visits_left,
        units=row.units_left,
        minutes=row.minutes_left,
    )
