"""The rows of billing's read tables, from the events of one client. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain import events
from billing.authorizations.domain.retention import (
    RetainedAuthorization,
    RetainedVisit,
    retained_of,
)
from practice.audit.domain import events as erasure_events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

USAGE_COLUMNS = ("visits_used", "units_used", "units_reserved", "minutes_used", "minutes_reserved")


AUTHORIZATION_ROWS = Projection(
    "billing.Authorization",
    watches=(events, erasure_events),
    ignores=(
        events.VisitOverridden,
        events.VisitGivenBack,
        events.VisitCoveredLater,
        erasure_events.ErasureOrdered,
        erasure_events.ErasureOrderWithdrawn,
        erasure_events.RecordKeyDestroyed,
    ),
)
VISIT_ROWS = Projection(
    "billing.Visit",
    watches=(events, erasure_events),
    ignores=(
        events.AuthorizationRecorded,
        events.AuthorizationAmended,
        events.AuthorizationEnded,
        events.AuthorizationReopened,
        events.AuthorizationVoided,
        events.VisitOverridden,
        events.VisitGivenBack,
        events.VisitCoveredLater,
        erasure_events.ErasureOrdered,
        erasure_events.ErasureOrderWithdrawn,
        erasure_events.RecordKeyDestroyed,
    ),
    version=2,
)


@AUTHORIZATION_ROWS.on(events.AuthorizationRecorded)
def recorded(rows: ProjectedRows, event: events.AuthorizationRecorded, meta: RecordedEvent) -> None:
    row = {"payer_id": event.payer_id, "recorded_at": meta.recorded_at}
    row |= {"ended_on": None, "voided_at": None}
    row |= {**dict.fromkeys(USAGE_COLUMNS, 0), **_terms(event.terms, {})}
    rows.put(event.authorization_id, _with_rest(row))


@AUTHORIZATION_ROWS.on(events.AuthorizationAmended)
def amended(rows: ProjectedRows, event: events.AuthorizationAmended, meta: RecordedEvent) -> None:
    _change(rows, event.authorization_id, terms=event.terms)


@AUTHORIZATION_ROWS.on(events.AuthorizationEnded)
def ended(rows: ProjectedRows, event: events.AuthorizationEnded, meta: RecordedEvent) -> None:
    _change(rows, event.authorization_id, ended_on=event.ends_on)


@AUTHORIZATION_ROWS.on(events.AuthorizationReopened)
def reopened(rows: ProjectedRows, event: events.AuthorizationReopened, meta: RecordedEvent) -> None:
    _change(rows, event.authorization_id, ended_on=None)


@AUTHORIZATION_ROWS.on(events.AuthorizationVoided)
def voided(rows: ProjectedRows, event: events.AuthorizationVoided, meta: RecordedEvent) -> None:
    _change(rows, event.authorization_id, voided_at=meta.recorded_at)


@AUTHORIZATION_ROWS.on(events.VisitCalculated)
def units_used(rows: ProjectedRows, event: events.VisitCalculated, meta: RecordedEvent) -> None:
    for entry in event.usage_changes:
        _use(rows, entry)


@AUTHORIZATION_ROWS.on(erasure_events.RecordClosed)
def authorizations_retained(
    rows: ProjectedRows, event: erasure_events.RecordClosed, meta: RecordedEvent
) -> None:
    for kept in retained_of(event, RetainedAuthorization):
        row = {**_kept_authorization(kept), "recorded_at": meta.recorded_at}
        rows.put(kept.id, _with_rest(row))


def _kept_authorization(kept: RetainedAuthorization) -> ProjectedRow:
    return {
        "payer_id": kept.payer_id,
        "number": kept.number,
        "member_id": "",
        "starts_on": kept.starts_on,
        "ends_on": kept.ends_on,
        "ended_on": kept.ended_on,
        "voided_at": None,
        "coverage_order": kept.coverage_order,
        "visits_authorized": kept.visits,
        "visits_used": kept.visits_used,
        "units_authorized": kept.units,
        "units_used": kept.units_used,
        "units_reserved": kept.units_reserved,
        "minutes_authorized": kept.minutes,
        "minutes_used": kept.minutes_used,
        "minutes_reserved": kept.minutes_reserved,
        "lines": [
            {"code": line.code, "units": line.units, "used": kept.by_code.get(line.code, 0)}
            for line in kept.lines
        ],
        "practitioner_ids": [],
        "diagnoses": [],
    }


def _terms(terms: events.AuthorizationTerms, used: dict[str, int]) -> ProjectedRow:
    return {
        "number": terms.number,
        "member_id": terms.member_id,
        "starts_on": terms.starts_on,
        "ends_on": terms.ends_on,
        "coverage_order": terms.coverage_order,
        "visits_authorized": terms.visits,
        "units_authorized": terms.units,
        "minutes_authorized": terms.minutes,
        "lines": [
            {"code": line.code, "units": line.units, "used": used.get(line.code, 0)}
            for line in terms.lines
        ],
        "practitioner_ids": [str(one) for one in terms.practitioner_ids],
        "diagnoses": list(terms.diagnoses),
    }


def _change(
    rows: ProjectedRows,
    key: UUID,
    *,
    terms: events.AuthorizationTerms | None = None,
    **changes: Any,
) -> None:
    row = rows.get(key)
    if row is not None:
        used = {line["code"]: line["used"] for line in row["lines"]}
        fresh = _terms(terms, used) if terms else {}
        rows.put(key, _with_rest({**row, **fresh, **changes}))


def _use(rows: ProjectedRows, entry: events.UsageChange) -> None:
    row = rows.get(entry.authorization_id)
    if row is None:
        return
    row["visits_used"] += entry.visits
    row["units_used"] += entry.units
    row["units_reserved"] += entry.reserved
    row["minutes_used"] += entry.minutes
    row["minutes_reserved"] += entry.reserved_minutes
    row["lines"] = [
        {**line, "used": line["used"] + entry.by_code.get(line["code"], 0)} for line in row["lines"]
    ]
    rows.put(entry.authorization_id, _with_rest(row))


def _with_rest(row: ProjectedRow) -> ProjectedRow:
    """The row with what is left, its last day, and whether more was used than is authorized."""

    def left(what: str, spent: int) -> int | None:
        authorized: int | None = row[f"{what}_authorized"]
        return None if authorized is None else authorized - spent

    rest = {
        "visits_left": left("visits", row["visits_used"]),
        "units_left": left("units", row["units_used"] + row["units_reserved"]),
        "minutes_left": left("minutes", row["minutes_used"] + row["minutes_reserved"]),
    }
    over = any(one is not None and one < 0 for one in rest.values()) or any(
        line["units"] is not None and line["used"] > line["units"] for line in row["lines"]
    )
    last = min(row["ends_on"], row["ended_on"] or row["ends_on"])
    return {**row, **rest, "over_used": over, "last_day": last}


@VISIT_ROWS.on(events.VisitCalculated)
def visit_calculated(
    rows: ProjectedRows, event: events.VisitCalculated, meta: RecordedEvent
) -> None:
    if event.sessions:
        rows.put(event.visit_id, {**_visit(event), "calculated_at": meta.recorded_at})
    else:
        rows.delete(event.visit_id)


@VISIT_ROWS.on(erasure_events.RecordClosed)
def visits_retained(
    rows: ProjectedRows, event: erasure_events.RecordClosed, meta: RecordedEvent
) -> None:
    for kept in retained_of(event, RetainedVisit):
        rows.put(kept.id, {**_kept_visit(kept), "calculated_at": meta.recorded_at})


def _visit(used_units: events.VisitCalculated) -> ProjectedRow:
    plain = _json(used_units)
    return {
        **_day(used_units, plain),
        "undecided": plain["undecided"],
        "awaiting_override": used_units.undecided is not None,
        "chosen_by_person": used_units.chosen_by_person,
        "units_chosen": used_units.units_chosen,
        "excluded_minutes": plain["excluded_minutes"],
        "fully_covered_by": plain["fully_covered_by"],
        "expected_amount": plain["expected_amount"],
    }


def _json(value: msgspec.Struct) -> dict[str, Any]:
    """A struct as JSON would give it back: lists, not tuples."""
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(value))
    return plain


def _kept_visit(kept: RetainedVisit) -> ProjectedRow:
    row = _day(kept, _json(kept))
    return {
        **row,
        "undecided": None,
        "awaiting_override": False,
        "chosen_by_person": False,
        "units_chosen": False,
        "excluded_minutes": [],
        "fully_covered_by": [],
        "expected_amount": None,
    }


def _day(used_units: events.VisitCalculated | RetainedVisit, plain: dict[str, Any]) -> ProjectedRow:
    return {
        "local_date": used_units.local_date,
        "discipline": used_units.discipline.value,
        "authorization_id": used_units.authorization_id,
        "payer_id": used_units.payer_id,
        "unit_rule": used_units.unit_rule.value if used_units.unit_rule else "",
        "sessions": plain["sessions"],
        "expected_units": plain["expected_units"],
        "expected_units_undecided": used_units.expected_units_undecided,
        "timed_minutes": used_units.timed_minutes,
        "used_units": plain["used_units"],
        "used_minutes": used_units.used_minutes,
        "used_units_total": sum(used_units.used_units.values()),
        "counts_as": plain["counts_as"],
        "billable_units": plain["billable_units"],
        "covered": used_units.covered.value,
        "uncovered_reasons": plain["uncovered_reasons"],
        "uncovered_reason_codes": "".join(
            f"|{uncovered_reason.value}" for uncovered_reason in used_units.uncovered_reasons
        )
        + "|" * bool(used_units.uncovered_reasons),
    }
