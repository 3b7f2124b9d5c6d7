"""What of billing survives the erasure of a record: named here and nowhere else. Pure.

Authorization number, payer, service codes, dates, minutes, units, disclosures (date,
recipient, purpose). No member id, no diagnosis, no note, no reason typed by anyone.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

import msgspec

from billing.domain.cover import COVER, Authorized, Cover, Used, Visit
from billing.domain.disclosing import DISCLOSURES, Disclosure
from billing.domain.events import Line, Minutes, Worth
from billing.domain.terms import Covered, Discipline, Gap, UnitRule
from practice.domain.decisions import States, Survivors
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


class KeptDisclosure(msgspec.Struct, frozen=True, kw_only=True, tag="disclosure"):
    """A disclosure: date, recipient, purpose, what, period, payer."""

    id: UUID
    disclosed_at: datetime
    disclosed_by: UUID
    what: str
    recipient: str
    purpose: str
    starts_on: date | None
    ends_on: date | None
    authorization_id: UUID | None
    payer_id: UUID | None


Kept = KeptAuthorization | KeptVisit | KeptDisclosure
K = TypeVar("K", KeptAuthorization, KeptVisit, KeptDisclosure)


def kept_of(closed: RecordClosed, kind: type[K]) -> Iterator[K]:
    """The survivors of one kind that a closing event holds."""
    for plain in closed.survivors.get(APP, []):
        kept = msgspec.convert(plain, Kept)
        if isinstance(kept, kind):
            yield kept


def _keep(states: States) -> list[dict[str, Any]]:
    cover = states[COVER]
    kept: list[Kept] = [_authorization(cover, one) for one in cover.authorizations.values()]
    kept += [_visit(one) for one in cover.visits.values()]
    kept += [_disclosure(one) for one in states[DISCLOSURES]]
    plain: list[dict[str, Any]] = msgspec.to_builtins(kept)
    return plain


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


def _disclosure(one: Disclosure) -> KeptDisclosure:
    made = one.event
    return KeptDisclosure(
        id=made.disclosure_id,
        disclosed_at=one.at,
        disclosed_by=one.by,
        what=made.what,
        recipient=made.recipient,
        purpose=made.purpose,
        starts_on=made.starts_on,
        ends_on=made.ends_on,
        authorization_id=made.authorization_id,
        payer_id=made.payer_id,
    )


SURVIVORS = Survivors(app=APP, slices=(COVER, DISCLOSURES), keep=_keep)
