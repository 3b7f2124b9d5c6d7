"""Visits as the read table has them, and what a person reads beside their ids."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

import msgspec
from django.db.models import QuerySet

from billing.authorizations.domain.events import TreatedSession
from billing.authorizations.models import Authorization, Visit
from billing.payers.selectors import payer_names, payer_rules
from billing.self_pay.selectors import self_paying_on
from billing.visits.domain.timed_units import billable_units_of
from billing.visits.selectors.warnings import warnings_of, years_of
from clients.identity.display_names import with_display_names
from practice.core.reasons import existing
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner


def visit_list() -> QuerySet[Visit]:
    """Every visit, with ``self_paying``: whether the client pays for themself on its day. Owner
    and billing see all facilities."""
    return Visit.objects.annotate(self_paying=self_paying_on("local_date"))


def visit_get(visit_id: UUID) -> Visit:
    """One visit; Rejected 404 where there is none."""
    return existing(visit_list().filter(pk=visit_id).first(), "visit")


def name_visits(rows: Iterable[Visit]) -> list[Visit]:
    """The rows with ``client_name``, ``payer_name``, ``yearly_thresholds`` and ``warnings``, in
    each session the names of practitioner and facility, and the numbers of authorizations that
    would cover all of it; the same queries for any number.

    A visit calculated before any authorization was on record is worth what the payer of the
    client's last one would make of it now.
    """
    found = with_display_names(rows)
    if not found:
        return found
    _billable_units_since([row for row in found if row.billable_units is None])
    payers = payer_names(found)
    people = dict(_names(Practitioner, found, "practitioner_id"))
    places = dict(_names(Facility, found, "facility_id"))
    numbers, years = _numbers(found), years_of(found)
    warnings = warnings_of(found, years)
    for row in found:
        row.yearly_thresholds = years[row.pk]  # type: ignore[attr-defined]
        row.warnings = warnings[row.pk]  # type: ignore[attr-defined]
        row.fully_covered_by = [
            {"authorization_id": one, "number": numbers.get(one, "")}
            for one in row.fully_covered_by
        ]
        row.payer_name = payers.get(row.payer_id, "")  # type: ignore[attr-defined]
        row.sessions = [
            {
                **one,
                "practitioner_name": people.get(one["practitioner_id"], ""),
                "facility_name": places.get(one["facility_id"], ""),
            }
            for one in row.sessions
        ]
    return found


def _numbers(rows: Iterable[Visit]) -> dict[str, str]:
    wanted = {one for row in rows for one in row.fully_covered_by}
    if not wanted:
        return {}
    found = Authorization.objects.filter(pk__in=wanted).values_list("pk", "number")
    return {str(pk): number for pk, number in found}


def _billable_units_since(rows: list[Visit]) -> None:
    known = [row for row in rows if all("note_id" in one for one in row.sessions)]
    if not known:  # after an erasure the sessions' ids are gone
        return
    recorded = Authorization.objects.filter(
        client_id__in={row.client_id for row in known}, voided_at__isnull=True
    )
    last = dict(recorded.order_by("recorded_at", "id").values_list("client_id", "payer_id"))
    rules = payer_rules(set(last.values()))
    for row in known:
        if row.client_id in last:
            sessions = msgspec.convert(row.sessions, tuple[TreatedSession, ...])
            row.billable_units = msgspec.to_builtins(
                billable_units_of(sessions, rules[last[row.client_id]].on(row.local_date))
            )


def _names(
    table: type[Practitioner | Facility], rows: Iterable[Visit], key: str
) -> Iterable[tuple[str, str]]:
    wanted = {one[key] for row in rows for one in row.sessions}
    for pk, name in table.objects.filter(pk__in=wanted).values_list("pk", "name"):
        yield str(pk), name
