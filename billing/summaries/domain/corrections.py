"""What of an earlier summary is not true any more, field by field. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from operator import attrgetter
from typing import Any, Final
from uuid import UUID

import msgspec

from billing.summaries.domain.document import FieldCorrection, SummaryRow, VisitCorrection
from billing.summaries.domain.state import KeptSummary, VisitChanges, changes_since
from practice.core.localtime import local_day
from practice.core.spans import Span, merged, without

NUMBERS: Final = ("minutes", "units", "units_waiting_at_most")
WORDS: Final = ("covered", "reasons", "credential")
PEOPLE_AND_PLACES: Final = {"practitioner": "practitioner_ids", "facility": "facility_ids"}
"""Shown by name and compared by id: a name put right is no correction of a visit."""
COMPARED: Final[Mapping[str, str]] = {name: name for name in WORDS} | PEOPLE_AND_PLACES
_compared = attrgetter(*NUMBERS, *COMPARED.values())
WITHDRAWN: Final = "Not used any more."


@dataclass(frozen=True)
class Now:
    """The rows that are true now, what changed visits, and the practice's zone."""

    rows: Sequence[SummaryRow]
    changes: VisitChanges
    zone: str


def corrected_since(
    sent: KeptSummary, now: Now, days: Callable[[date], bool] = lambda _day: True
) -> tuple[VisitCorrection, ...]:
    """The visits of a summary's period that are not as it said, oldest day first; of the days
    asked for."""
    asked = cache(partial(_asked, sent, days))  # Many rows lie on a day.
    before = {row.key: row for row in sent.document.rows if asked(row.date)}
    after = {row.key: row for row in now.rows if asked(row.date)}
    by_visit: dict[UUID, list[FieldCorrection]] = {}
    visits: dict[UUID, SummaryRow] = {}
    differ = (key for key in {*before, *after} if _differ(before.get(key), after.get(key)))
    for key in sorted(differ, key=lambda one: (str(one[0]), one[1])):
        by_visit.setdefault(key[0], []).extend(_fields(before.get(key), after.get(key)))
        visits[key[0]] = after.get(key) or before[key]
    found = (
        VisitCorrection(
            summary_id=sent.event.summary_id,
            sent_at=sent.sent_at,
            visit_id=visit_id,
            date=visits[visit_id].date,
            discipline=visits[visit_id].discipline,
            corrected_fields=tuple(fields),
            reasons=changes_since(now.changes, visit_id, sent.sent_at),
        )
        for visit_id, fields in by_visit.items()
    )
    return tuple(sorted(found, key=lambda one: (one.date, one.discipline, one.visit_id)))


def corrections_of(
    sent: Sequence[KeptSummary], now: Now, days: Callable[[date], bool]
) -> tuple[VisitCorrection, ...]:
    """The corrections that a new summary of some days tells: each day is compared with the
    latest summary that spoke of it."""
    found: list[VisitCorrection] = []
    newer: list[Span] = []
    for one in sorted(sent, key=lambda kept: kept.sent_at, reverse=True):
        if latest := without([one.days], newer):  # Else it is not even read: each has all rows.
            found += corrected_since(one, now, partial(_latest, days, latest))
            newer = merged([*newer, one.days])
    return tuple(sorted(found, key=lambda one: (one.date, one.discipline, one.visit_id)))


def with_corrections(
    rows: Sequence[SummaryRow],
    corrections: Sequence[VisitCorrection],
    sent: Mapping[UUID, KeptSummary],
    zone: str,
) -> tuple[SummaryRow, ...]:
    """The rows with what was corrected beside it; what was sent and is not used any more stays
    a row, of nothing."""
    known = {row.key for row in rows}
    all_rows = [*rows, *_withdrawn(known, corrections, sent)]
    by_row: dict[tuple[UUID, str], tuple[VisitCorrection, list[FieldCorrection]]] = {}
    for one in corrections:
        for corrected in one.corrected_fields:
            key = (one.visit_id, corrected.service_code)
            by_row.setdefault(key, (one, []))[1].append(corrected)
    marked = (_marked(row, by_row.get(row.key), zone) for row in all_rows)
    return tuple(sorted(marked, key=lambda row: (row.date, row.discipline, row.service_code)))


def _asked(sent: KeptSummary, days: Callable[[date], bool], day: date) -> bool:
    return sent.speaks_of(day) and days(day)


def _latest(days: Callable[[date], bool], latest: Sequence[Span], day: date) -> bool:
    return days(day) and any(first <= day.toordinal() < end for first, end in latest)


def _differ(before: SummaryRow | None, after: SummaryRow | None) -> bool:
    """Whether anything of a row is to be corrected."""
    if before is not None and after is not None and _compared(before) == _compared(after):
        return False  # As most are: nothing to look for.
    return any(True for _ in _fields(before, after))


def _fields(before: SummaryRow | None, after: SummaryRow | None) -> Iterator[FieldCorrection]:
    code = (after or before).service_code  # type: ignore[union-attr]  # one of the two is there
    change = partial(FieldCorrection, service_code=code)
    for name in NUMBERS:
        sent, now = _number(before, name), _number(after, name)
        if (sent or 0) != (now or 0):
            yield change(field=name, sent=sent, now=now)
    if before is None or after is None:
        return
    for name, by in COMPARED.items():
        if getattr(before, by) != getattr(after, by):
            yield change(field=name, sent=getattr(before, name), now=getattr(after, name))


def _number(row: SummaryRow | None, name: str) -> int | None:
    value: int | None = getattr(row, name, None)
    return value


def _withdrawn(
    known: set[tuple[UUID, str]],
    corrections: Sequence[VisitCorrection],
    sent: Mapping[UUID, KeptSummary],
) -> Iterator[SummaryRow]:
    nothing: dict[str, Any] = dict.fromkeys(NUMBERS, 0)
    nothing |= {"covered": "not covered", "reasons": WITHDRAWN, "used_after_end": ""}
    for one in corrections:
        codes = {corrected.service_code for corrected in one.corrected_fields}
        gone = {(one.visit_id, code) for code in codes} - known
        for row in sent[one.summary_id].document.rows:
            if row.key in gone:
                yield msgspec.structs.replace(row, **nothing)


def _marked(
    row: SummaryRow, found: tuple[VisitCorrection, list[FieldCorrection]] | None, zone: str
) -> SummaryRow:
    if found is None:
        return row
    correction, fields = found
    return msgspec.structs.replace(
        row,
        sent_on=local_day(correction.sent_at, zone),
        correction="; ".join(
            f"{_plain(one.field)}: {_said(one.sent)} was sent, {_said(one.now)} is right"
            for one in fields
        ),
        correction_reason="; ".join(
            f"{local_day(one.recorded_at, zone)} {one.what}"
            + (f": {one.reason}" * bool(one.reason))
            for one in correction.reasons
        ),
    )


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _said(value: str | int | None) -> str:
    return "nothing" if value in (None, "") else str(value)
