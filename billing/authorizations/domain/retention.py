"""What of authorizations and visits survives the erasure of a record. Pure.

Authorization number, payer, service codes, dates, minutes, units. No member id, no
diagnosis, no note, no reason typed by anyone.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import TypeVar
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import AuthorizedLine, BillableUnits, TreatedMinutes
from billing.authorizations.domain.state import (
    AuthorizationBalance,
    AuthorizationState,
    UsedAmounts,
    VisitState,
)
from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
from billing.payers.domain.rules import UnitRule
from practice.audit.domain.events import RecordClosed
from practice.core.terms import Credential

APP = "billing"


class RetainedAuthorization(msgspec.Struct, frozen=True, kw_only=True, tag="authorization"):
    """An authorization and what was used of it; ``by_code`` are units used per line."""

    id: UUID
    payer_id: UUID
    number: str
    starts_on: date
    ends_on: date
    ended_on: date | None
    coverage_order: int
    visits: int | None
    units: int | None
    minutes: int | None
    lines: tuple[AuthorizedLine, ...]
    visits_used: int
    units_used: int
    units_reserved: int
    minutes_used: int
    minutes_reserved: int = 0
    by_code: dict[str, int]


class RetainedSession(msgspec.Struct, frozen=True, kw_only=True):
    """One signed session of a visit: who, where and the minutes of each part."""

    facility_id: UUID
    practitioner_id: UUID
    credential: Credential
    minutes: tuple[TreatedMinutes, ...]
    signed_at: datetime
    signed_by: UUID


class RetainedVisit(msgspec.Struct, frozen=True, kw_only=True, tag="visit"):
    """A treatment day and what was used for it."""

    id: UUID
    local_date: date
    discipline: Discipline
    authorization_id: UUID | None
    payer_id: UUID | None
    unit_rule: UnitRule | None
    sessions: tuple[RetainedSession, ...]
    expected_units: dict[str, int]
    expected_units_undecided: int
    timed_minutes: int
    used_units: dict[str, int]
    used_minutes: int
    counts_as: tuple[str, ...]
    covered: CoverageStatus
    uncovered_reasons: tuple[UncoveredReason, ...]
    billable_units: BillableUnits | None = None


RetainedT = TypeVar("RetainedT", bound=msgspec.Struct)


def retained_of(closed: RecordClosed, kind: type[RetainedT]) -> Iterator[RetainedT]:
    """The retained facts of one kind that a closing event holds; their ``type`` names it."""
    for plain in closed.retained_facts.get(APP, []):
        if plain["type"] == kind.__struct_config__.tag:
            yield msgspec.convert(plain, kind)


def kept_of_cover(
    authorization_balance: AuthorizationBalance,
) -> list[RetainedAuthorization | RetainedVisit]:
    """Every authorization and every visit of a client, as far as they survive; a day whose
    sessions were all entered in error is no visit."""
    authorizations = [
        _authorization(authorization_balance, one)
        for one in authorization_balance.authorizations.values()
    ]
    visits = [one for one in authorization_balance.visits.values() if one.last.sessions]
    return [*authorizations, *(_visit(one) for one in visits)]


def _authorization(
    authorization_balance: AuthorizationBalance, one: AuthorizationState
) -> RetainedAuthorization:
    terms, used = one.terms, authorization_balance.used.get(one.id, UsedAmounts())
    return RetainedAuthorization(
        id=one.id,
        payer_id=one.payer_id,
        number=terms.number,
        starts_on=terms.starts_on,
        ends_on=terms.ends_on,
        ended_on=one.ended_on,
        coverage_order=terms.coverage_order,
        visits=terms.visits,
        units=terms.units,
        minutes=terms.minutes,
        lines=terms.lines,
        visits_used=used.visits,
        units_used=used.units,
        units_reserved=used.reserved,
        minutes_used=used.minutes,
        minutes_reserved=used.reserved_minutes,
        by_code={
            line.code: authorization_balance.used_of_line(one.id, line.code) for line in terms.lines
        },
    )


def _visit(visit: VisitState) -> RetainedVisit:
    last = visit.last
    return RetainedVisit(
        id=last.visit_id,
        local_date=last.local_date,
        discipline=last.discipline,
        authorization_id=last.authorization_id,
        payer_id=last.payer_id,
        unit_rule=last.unit_rule,
        sessions=tuple(
            RetainedSession(
                facility_id=one.facility_id,
                practitioner_id=one.practitioner_id,
                credential=one.credential,
                minutes=one.minutes,
                signed_at=one.signed_at,
                signed_by=one.signed_by,
            )
            for one in last.sessions
        ),
        expected_units=last.expected_units,
        expected_units_undecided=last.expected_units_undecided,
        timed_minutes=last.timed_minutes,
        used_units=last.used_units,
        used_minutes=last.used_minutes,
        counts_as=last.counts_as,
        covered=last.covered,
        uncovered_reasons=last.uncovered_reasons,
        billable_units=last.billable_units,
    )
