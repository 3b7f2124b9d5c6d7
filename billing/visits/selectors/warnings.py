"""What a person should see to in visits; it forbids nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from billing.authorizations.domain.advisories import used_after_end, used_before_start
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.outside_period import visits_outside_period
from practice.core.reasons import Reason

Warnings = defaultdict[UUID, list[Reason]]


def warnings_of(rows: Sequence[Visit]) -> Warnings:
    """The warnings of some visits by their ids; the same queries for any number."""
    found = Warnings(list)
    _outside_period(rows, found)
    return found


def _outside_period(rows: Sequence[Visit], found: Warnings) -> None:
    outside = visits_outside_period(Visit.objects.filter(pk__in=[row.pk for row in rows]))
    held = list(outside.values_list("pk", "local_date", "authorization_id"))
    authorizations = Authorization.objects.in_bulk({one for *_, one in held})
    for visit_id, day, authorization_id in held:
        one = authorizations[authorization_id]  # type: ignore[index]
        before = [day] if day < one.starts_on else []
        after = [day] if day > one.last_day else []
        found[visit_id] += [
            *used_before_start(one.number, one.starts_on, before),
            *used_after_end(one.number, one.last_day, after),
        ]
