"""What a person reads beside the ids of authorizations: names, and why to look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from uuid import UUID

from billing.authorizations.domain.advisories import RemainingBalance, running_out_reasons
from billing.authorizations.domain.day_warnings import (
    booked_after_end,
    used_after_end,
    used_before_start,
)
from billing.authorizations.domain.member_ids import another_member_id, number_of_another
from billing.authorizations.domain.yearly_thresholds import (
    ThresholdBalance,
    threshold_balances,
    threshold_reasons,
)
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import billing_settings
from billing.authorizations.selectors.outside_period import visits_outside_period
from billing.authorizations.selectors.yearly_thresholds import uses_of_years
from billing.payers.selectors import payer_names, payer_rules, practice_today
from clients.identity.display_names import with_display_names
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session


def name_authorizations(rows: Iterable[Authorization]) -> list[Authorization]:
    """The rows with ``client_name``, ``payer_name``, ``used_before_start`` and
    ``used_after_end`` (days, oldest first), ``yearly_thresholds``, ``warnings`` and
    ``running_out`` (reasons) as attributes; the same queries for any number."""
    found = with_display_names(rows)
    if not found:
        return found
    standing = [row for row in found if row.voided_at is None]
    payers, (before, after) = payer_names(found), days_outside(found)
    ahead, taken = booked_after(standing), numbers_of_others(standing)
    earlier, day, settings = ids_before(standing), practice_today(), billing_settings()
    years = _years(standing, day, settings.threshold_warning_percent)
    for row in found:
        row.yearly_thresholds = years[row.pk]  # type: ignore[attr-defined]
        row.payer_name = payers.get(row.payer_id, "")  # type: ignore[attr-defined]
        row.used_after_end = after[row.pk]  # type: ignore[attr-defined]
        row.used_before_start = before[row.pk]  # type: ignore[attr-defined]
        row.warnings = [  # type: ignore[attr-defined]
            *number_of_another(row.number, taken=row.pk in taken),
            *another_member_id(row.member_id, *earlier.get(row.pk, ("", ""))),
            *used_before_start(row.number, row.starts_on, before[row.pk]),
            *used_after_end(row.number, row.last_day, after[row.pk]),
            *booked_after_end(row.number, row.last_day, ahead[row.pk]),
            *threshold_reasons(years[row.pk]),
        ]
        row.running_out = (  # type: ignore[attr-defined]
            running_out_reasons(remaining_of(row), day, settings) if row.voided_at is None else []
        )
    return found


def _years(
    rows: Sequence[Authorization], day: date, warning_percent: int
) -> defaultdict[UUID, list[ThresholdBalance]]:
    """The present year of each client with the payer, by the payer's thresholds of today."""
    rules = payer_rules({row.payer_id for row in rows})
    uses = uses_of_years({(row.client_id, row.payer_id, day.year) for row in rows})
    found: defaultdict[UUID, list[ThresholdBalance]] = defaultdict(list)
    for row in rows:
        own = uses[row.client_id, row.payer_id, day.year]
        found[row.pk] = threshold_balances(
            rules[row.payer_id].on(day), day.year, own, warning_percent
        )
    return found


DaysByAuthorization = defaultdict[UUID, list[date]]


def days_outside(
    rows: Iterable[Authorization],
) -> tuple[DaysByAuthorization, DaysByAuthorization]:
    """Days of visits that hold units of an authorization though they lie before its first day,
    and those after its last day."""
    by_id = {row.pk: row for row in rows}
    before, after = DaysByAuthorization(list), DaysByAuthorization(list)
    if not by_id:
        return before, after
    held = (
        visits_outside_period(Visit.objects.filter(authorization_id__in=by_id))
        .order_by("local_date", "id")
        .values_list("authorization_id", "local_date")
        .distinct()
    )
    for authorization_id, day in held:
        row = by_id[authorization_id]  # type: ignore[index]  # filtered: none without one
        if day < row.starts_on and day not in before[row.pk]:
            before[row.pk].append(day)
        if day > row.last_day and day not in after[row.pk]:
            after[row.pk].append(day)
    return before, after


def numbers_of_others(rows: Iterable[Authorization]) -> set[UUID]:
    """Those whose number another client has of the same payer, too."""
    rows = list(rows)
    same = Authorization.objects.filter(
        number__in={row.number for row in rows},
        payer_id__in={row.payer_id for row in rows},
        voided_at__isnull=True,
    )
    holders: defaultdict[tuple[UUID, str], set[UUID]] = defaultdict(set)
    for payer_id, number, client_id in same.values_list("payer_id", "number", "client_id"):
        holders[payer_id, number].add(client_id)
    return {row.pk for row in rows if len(holders[row.payer_id, row.number]) > 1}


def ids_before(rows: Iterable[Authorization]) -> dict[UUID, tuple[str, str]]:
    """Member id and number of the authorization before each, of its client and payer."""
    own = Authorization.objects.filter(
        client_id__in={row.client_id for row in rows}, voided_at__isnull=True
    ).order_by("starts_on", "recorded_at", "id")
    found: dict[UUID, tuple[str, str]] = {}
    last: dict[tuple[UUID, UUID], tuple[str, str]] = {}
    for row in own.only("client_id", "payer_id", "member_id", "number"):
        of = row.client_id, row.payer_id
        if of in last:
            found[row.pk] = last[of]
        last[of] = row.member_id, row.number
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


def remaining_of(row: Authorization) -> RemainingBalance:
    """What is left of an authorization, as its row has it."""
    return RemainingBalance(
        number=row.number,
        starts_on=row.starts_on,
        last_day=row.last_day,
        visits=row.visits_left,
        units=row.units_left,
        minutes=row.minutes_left,
    )
