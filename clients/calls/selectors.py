"""What there is to call about: the sources merged by day, without what was told already."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import islice
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from clients.calls.domain.events import CallOutcome, CallSubject
from clients.calls.hooks import CALL_REASONS, CallSource
from clients.calls.models import Call, CallTopic
from clients.identity.models import ClientFacility
from clients.identity.selectors import of_visible_clients
from practice.core.decisions import Actor


@dataclass(frozen=True, slots=True)
class CallEntry:
    """One thing to call a client about. ``last``: the last call about it, if there was one."""

    client_id: UUID
    reason: str
    about: UUID
    call_by: date
    text: str
    last: CallTopic | None = None


@dataclass(frozen=True)
class CallRows:
    """What stands on the call list, in order of day, reason and thing, as a page asks for it.

    Each source is asked for one page and no more, so that a page costs the same however long
    the list is.
    """

    now: datetime
    parts: tuple[tuple[CallSource, QuerySet[Any]], ...]

    def order_by(self, *_order: str) -> CallRows:
        """It has one order."""
        return self

    def after(self, call_by: str, reason: str, about: str) -> CallRows:
        """Those after a row of a page."""
        parts = (
            (one, rows.filter(_after(one, call_by, reason, about))) for one, rows in self.parts
        )
        return replace(self, parts=tuple(parts))

    def __getitem__(self, some: slice) -> list[CallEntry]:
        """The first of them: ``rows[:50]``."""
        merged = heapq.merge(
            *(_sorted(one, rows, some.stop) for one, rows in self.parts),
            key=lambda found: (found[1].call_by, found[0].reason, found[1].call_about),
        )
        return _entries(list(islice(merged, some.stop)), self.now)


def call_rows(
    actor: Actor,
    now: datetime,
    *,
    facility_id: UUID | None = None,
    client_id: UUID | None = None,
    reason: str | None = None,
) -> CallRows:
    """What is to be called about now, of the clients whom the caller sees."""
    parts = []
    for one in CALL_REASONS.answers:
        if reason not in (None, one.reason):
            continue
        standing = _standing(one, now).filter(~_told(one, Q(again_at__gt=now)))
        rows = of_visible_clients(actor, standing)
        if facility_id is not None:
            known = ClientFacility.objects.filter(facility_id=facility_id).values("client_id")
            rows = rows.filter(client_id__in=known)
        if client_id is not None:
            rows = rows.filter(client_id=client_id)
        parts.append((one, rows))
    return CallRows(now, tuple(parts))


def subjects_of(client_id: UUID, now: datetime) -> list[CallSubject]:
    """All that stands on the call list for a client and was not told, whether it is to be
    called about now or again later."""
    return [
        CallSubject(reason=one.reason, id=row.call_about)
        for one in CALL_REASONS.answers
        for row in _still(one, _standing(one, now).filter(~_told(one), client_id=client_id))
    ]


def calls_of(client_id: UUID) -> QuerySet[Call]:
    """The calls to a client."""
    return Call.objects.filter(client_id=client_id)


def call_reasons() -> dict[str, str]:
    """The words of all reasons, with what each means."""
    return {one.reason: one.explained for one in CALL_REASONS.answers}


def _standing(one: CallSource, now: datetime) -> QuerySet[Any]:
    found: QuerySet[Any] = one.rows(now).annotate(
        call_by=F(one.by), call_about=F(one.about), call_since=F(one.since)
    )
    return found


def _told(one: CallSource, or_else: Q | None = None) -> Exists:
    """Whether the client was told of a thing since it stands; or what else hides it."""
    hidden = Q(outcome=CallOutcome.REACHED)
    return Exists(
        CallTopic.objects.filter(
            hidden if or_else is None else hidden | or_else,
            pk=OuterRef("call_about"),
            called_at__gte=OuterRef("call_since"),
        )
    )


def _after(one: CallSource, call_by: str, reason: str, about: str) -> Q:
    same_day = Q(call_by=call_by)
    if one.reason > reason:
        return Q(call_by__gt=call_by) | same_day
    if one.reason == reason:
        return Q(call_by__gt=call_by) | (same_day & Q(call_about__gt=about))
    return Q(call_by__gt=call_by)


def _sorted(
    one: CallSource, rows: QuerySet[Any], size: int | None
) -> Iterator[tuple[CallSource, Any]]:
    """In order, a page at a time, as far as the list asks: more only where some do not stand."""
    ordered, start = rows.order_by("call_by", "call_about"), 0
    while True:
        page = ordered[start : None if size is None else start + size]
        for row in _still(one, page):
            yield one, row
        if one.still is None or size is None or len(page) < size:
            return
        start, size = start + size, 2 * size


def _still(one: CallSource, rows: QuerySet[Any]) -> Iterable[Any]:
    return rows if one.still is None else one.still(list(rows))


def _entries(found: Sequence[tuple[CallSource, Any]], now: datetime) -> list[CallEntry]:
    """The rows of a page with their sentences and the last call about each."""
    texts: dict[tuple[str, UUID], str] = {}
    for one in CALL_REASONS.answers:
        rows = [row for source, row in found if source is one]
        for row, text in zip(rows, one.told(rows, now) if rows else [], strict=True):
            texts[one.reason, row.call_about] = text
    last = CallTopic.objects.in_bulk([row.call_about for _, row in found])
    return [
        CallEntry(
            row.client_id,
            one.reason,
            row.call_about,
            row.call_by,
            texts[one.reason, row.call_about],
            last.get(row.call_about),
        )
        for one, row in found
    ]
