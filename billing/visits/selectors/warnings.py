"""What a person should see to in visits; it forbids nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from billing.authorizations.domain.day_warnings import used_after_end, used_before_start
from billing.authorizations.domain.yearly_thresholds import (
    ThresholdBalance,
    threshold_balances,
    threshold_reasons,
)
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import billing_settings
from billing.authorizations.selectors.outside_period import visits_outside_period
from billing.authorizations.selectors.yearly_thresholds import ClientYear, uses_of_years
from billing.payers.selectors import payer_rules
from practice.core.reasons import Reason

Warnings = defaultdict[UUID, list[Reason]]
Years = defaultdict[UUID, list[ThresholdBalance]]


def warnings_of(rows: Sequence[Visit], years: Years) -> Warnings:
    """The warnings of some visits by their ids, given their ``years_of``; the same queries for
    any number."""
    found = Warnings(list)
    _outside_period(rows, found)
    for row in rows:
        found[row.pk] += threshold_reasons(years[row.pk])
    return found


def years_of(rows: Sequence[Visit]) -> Years:
    """Of each visit that used units: the payer's thresholds of its day, and what the client's
    visits of the year up to this one count towards them; the same queries for any number."""
    using = {row.pk: row for row in rows if row.used_units_total and row.payer_id}
    rules = payer_rules({row.payer_id for row in using.values() if row.payer_id})
    uses = uses_of_years({_year(row) for row in using.values()})
    warning_percent, found = billing_settings().threshold_warning_percent, Years(list)
    for row in using.values():
        payer_id: UUID = row.payer_id  # type: ignore[assignment]  # they have one
        until = [
            one for one in uses[_year(row)] if (one.day, one.visit_id) <= (row.local_date, row.pk)
        ]
        found[row.pk] = threshold_balances(
            rules[payer_id].on(row.local_date), row.local_date.year, until, warning_percent
        )
    return found


def _year(row: Visit) -> ClientYear:
    return row.client_id, row.payer_id, row.local_date.year


def _outside_period(rows: Sequence[Visit], found: Warnings) -> None:
    outside = visits_outside_period(Visit.objects.filter(pk__in=[row.pk for row in rows]))
    held = list(outside.values_list("pk", "local_date", "authorization_id"))
    authorizations = Authorization.objects.in_bulk({one for *_, one in held})
    for visit_id, day, authorization_id in held:
        one = authorizations[authorization_id]
        before = [day] if day < one.starts_on else []
        after = [day] if day > one.last_day else []
        found[visit_id] += [
            *used_before_start(one.number, one.starts_on, before),
            *used_after_end(one.number, one.last_day, after),
        ]
