"""The rows of billing's read tables, from the events of one client. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from billing.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    AuthorizationRecorded,
    Entry,
    Terms,
    VisitDrawn,
)
from billing.domain.surviving import KeptAuthorization, KeptVisit, kept_of
from practice.domain.erasure import RecordClosed
from practice.domain.events import Recorded
from practice.domain.projecting import Row, Rows, projector

SPENT = ("visits_used", "units_used", "units_reserved", "minutes_used", "minutes_reserved")


@projector(
    "billing.Authorization",
    AuthorizationRecorded,
    AuthorizationAmended,
    AuthorizationEnded,
    VisitDrawn,
    RecordClosed,
)
def authorization_row(rows: Rows, rec: Recorded) -> None:
    """One row per authorization; each draw adds its entries to what is used."""
    match rec.data:
        case AuthorizationRecorded() as new:
            row = {"payer_id": new.payer_id, "recorded_at": rec.recorded_at, "ended_on": None}
            row |= {**dict.fromkeys(SPENT, 0), **_terms(new.terms, {})}
            rows.put(new.authorization_id, _with_rest(row))
        case AuthorizationAmended() as amended:
            _change(rows, amended.authorization_id, terms=amended.terms)
        case AuthorizationEnded() as ended:
            _change(rows, ended.authorization_id, ended_on=ended.ends_on)
        case VisitDrawn() as drawn:
            for entry in drawn.entries:
                _draw(rows, entry)
        case RecordClosed() as closed:
            for kept in kept_of(closed, KeptAuthorization):
                row = {**_kept_authorization(kept), "recorded_at": rec.recorded_at}
                rows.put(kept.id, _with_rest(row))


def _kept_authorization(kept: KeptAuthorization) -> Row:
    return {
        "payer_id": kept.payer_id,
        "number": kept.number,
        "member_id": "",
        "starts_on": kept.starts_on,
        "ends_on": kept.ends_on,
        "ended_on": kept.ended_on,
        "coverage_order": kept.order,
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
        "practitioners": [],
        "diagnoses": [],
    }


def _terms(terms: Terms, used: dict[str, int]) -> Row:
    return {
        "number": terms.number,
        "member_id": terms.member_id,
        "starts_on": terms.starts_on,
        "ends_on": terms.ends_on,
        "coverage_order": terms.order,
        "visits_authorized": terms.visits,
        "units_authorized": terms.units,
        "minutes_authorized": terms.minutes,
        "lines": [
            {"code": line.code, "units": line.units, "used": used.get(line.code, 0)}
            for line in terms.lines
        ],
        "practitioners": [str(one) for one in terms.practitioners],
        "diagnoses": list(terms.diagnoses),
    }


def _change(rows: Rows, key: UUID, *, terms: Terms | None = None, **changes: Any) -> None:
    row = rows.get(key)
    if row is not None:
        used = {line["code"]: line["used"] for line in row["lines"]}
        fresh = _terms(terms, used) if terms else {}
        rows.put(key, _with_rest({**row, **fresh, **changes}))


def _draw(rows: Rows, entry: Entry) -> None:
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


def _with_rest(row: Row) -> Row:
    """The row with what is left, its last day, and whether more was drawn than is authorized."""

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


@projector("billing.Visit", VisitDrawn, RecordClosed)
def visit_row(rows: Rows, rec: Recorded) -> None:
    """One row per treatment day and discipline: its latest reckoning."""
    match rec.data:
        case VisitDrawn() as drawn:
            rows.put(drawn.visit_id, {**_visit(drawn), "reckoned_at": rec.recorded_at})
        case RecordClosed() as closed:
            for kept in kept_of(closed, KeptVisit):
                rows.put(kept.id, {**_kept_visit(kept), "reckoned_at": rec.recorded_at})


def _visit(drawn: VisitDrawn) -> Row:
    plain = _json(drawn)
    return {
        **_day(drawn, plain),
        "open": plain["open"],
        "waits_for_choice": drawn.open is not None,
        "chosen_by_person": drawn.chosen_by_person,
        "units_chosen": drawn.units_chosen,
        "dropped": plain["dropped"],
    }


def _json(value: msgspec.Struct) -> dict[str, Any]:
    """A struct as JSON would give it back: lists, not tuples."""
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(value))
    return plain


def _kept_visit(kept: KeptVisit) -> Row:
    row = _day(kept, _json(kept))
    return {
        **row,
        "open": None,
        "waits_for_choice": False,
        "chosen_by_person": False,
        "units_chosen": False,
        "dropped": [],
    }


def _day(drawn: VisitDrawn | KeptVisit, plain: dict[str, Any]) -> Row:
    return {
        "local_date": drawn.local_date,
        "discipline": drawn.discipline.value,
        "authorization_id": drawn.authorization_id,
        "payer_id": drawn.payer_id,
        "unit_rule": drawn.rule.value if drawn.rule else "",
        "sessions": plain["sessions"],
        "need": plain["need"],
        "need_open": drawn.need_open,
        "timed_minutes": drawn.timed_minutes,
        "drawn": plain["drawn"],
        "drawn_minutes": drawn.drawn_minutes,
        "units_drawn": sum(drawn.drawn.values()),
        "counts_as": plain["counts_as"],
        "worth": plain["worth"],
        "covered": drawn.covered.value,
        "gaps": plain["gaps"],
        "gap_codes": "".join(f"|{gap.value}" for gap in drawn.gaps) + "|" * bool(drawn.gaps),
    }
