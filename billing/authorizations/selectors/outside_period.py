"""Visits that hold units of an authorization on a day outside its period.

They used it while the period still held their day, and what was used stays used until a person
gives it back.
"""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q, QuerySet

from billing.authorizations.models import Authorization, Visit


def visits_outside_period(rows: QuerySet[Visit]) -> QuerySet[Visit]:
    """Those visits whose day an amendment or an early end left outside."""
    outside: QuerySet[Authorization] = Authorization.objects.filter(
        Q(starts_on__gt=OuterRef("local_date")) | Q(last_day__lt=OuterRef("local_date")),
        pk=OuterRef("authorization_id"),
    )
    return rows.filter(Exists(outside), Q(used_units_total__gt=0) | Q(awaiting_override=True))
