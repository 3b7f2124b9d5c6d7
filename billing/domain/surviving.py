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

from billing.domain.cover import Authorized, Cover, Used, Visit
from billing.domain.events import Line, Minutes, Worth
from billing.domain.payers import UnitRule
from billing.domain.terms import Covered, Discipline, Gap
from practice.domain.erasure import RecordClosed
from practice.domain.terms import Credential

APP = "billing"


class KeptAuthorization(msgspec.Struct, frozen=True, kw_only=True, tag="authorization"):
    """An authorization and what was used of it; ``by_code`` are units used per line."""

    id: UUID
    payer_id: UUID
    number: str
    starts_on: date
    ends_on: date
    ended_on: date | None
    order: int
    visits: int | None
    units: int | None
    minutes: int | None
    lines: tuple[Line, ...]
    visits_used: int
    units_used: int
    units_reserved: int
    minutes_used: int
    minutes_reserved: int = 0
    by_code: dict[str, int]


class KeptSession(msgspec.Struct, frozen=True, kw_only=True):
    """One signed session of a visit: who, where and the minutes of each part."""

    facility_id: UUID
    practitioner_id: UUID
    credential: Credential
    minutes: tuple[Minutes, ...]
    signed_at: datetime
    signed_by: UUID


class KeptVisit(msgspec.Struct, frozen=True, kw_only=True, tag="visit"):
    """A treatment day and what was drawn for it."""

    id: UUID
    local_date: date
    discipline: Discipline
    authorization_id: UUID | None
    payer_id: UUID | None
    rule: UnitRule | None
    sessions: tuple[KeptSession, ...]
    need: dict[str, int]
    need_open: int
    timed_minutes: int
    drawn: dict[str, int]
    drawn_minutes: int
    counts_as: tuple[str, ...]
    covered: Covered
    gaps: tuple[Gap, ...]
    worth: Worth | None = None


K = TypeVar("K", bound=msgspec.Struct)


def kept_of(closed: RecordClosed, kind: type[K]) -> Iterator[K]:
    """The survivors of one kind that a closing event holds; their ``type`` names it."""
    for plain in closed.survivors.get(APP, []):
        if plain["type"] == kind.__struct_config__.tag:
            yield msgspec.convert(plain, kind)


def kept_of_cover(cover: Cover) -> list[KeptAuthorization | KeptVisit]:
    """Every authorization and every visit of a client, as far as they survive."""
    authorizations = [_authorization(cover, one) for one in cover.authorizations.values()]
    return [*authorizations, *(_visit(one) for one in cover.visits.values())]


def _authorization(cover: Cover, one: Authorized) -> KeptAuthorization:
    terms, used = one.terms, cover.used.get(one.id, Used())
    return KeptAuthorization(
        id=one.id,
        payer_id=one.payer_id,
        number=terms.number,
        starts_on=terms.starts_on,
        ends_on=terms.ends_on,
        ended_on=one.ended_on,
        order=terms.order,
        visits=terms.visits,
        units=terms.units,
        minutes=terms.minutes,
        lines=terms.lines,
        visits_used=used.visits,
        units_used=used.units,
        units_reserved=used.reserved,
        minutes_used=used.minutes,
        minutes_reserved=used.reserved_minutes,
        by_code={line.code: cover.drawn_of_line(one.id, line.code) for line in terms.lines},
    )


def _visit(visit: Visit) -> KeptVisit:
    last = visit.last
    return KeptVisit(
        id=last.visit_id,
        local_date=last.local_date,
        discipline=last.discipline,
        authorization_id=last.authorization_id,
        payer_id=last.payer_id,
        rule=last.rule,
        sessions=tuple(
            KeptSession(
                facility_id=one.facility_id,
                practitioner_id=one.practitioner_id,
                credential=one.credential,
                minutes=one.minutes,
                signed_at=one.signed_at,
                signed_by=one.signed_by,
            )
            for one in last.sessions
        ),
        need=last.need,
        need_open=last.need_open,
        timed_minutes=last.timed_minutes,
        drawn=last.drawn,
        drawn_minutes=last.drawn_minutes,
        counts_as=last.counts_as,
        covered=last.covered,
        gaps=last.gaps,
        worth=last.worth,
    )
