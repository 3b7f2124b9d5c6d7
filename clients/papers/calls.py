"""Papers and orders on the call list: what is overdue, and what ends soon.

Whoever was asked is called; the sentence names them, and nothing that is clinical.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import msgspec
from django.db.models import Q, QuerySet

from clients.calls.hooks import CallSource
from clients.orders.models import Order
from clients.papers.domain.event_texts import paper_title
from clients.papers.domain.events import AskedOf
from clients.papers.domain.paper import Paper as PaperState
from clients.papers.domain.terms import PaperKind, PaperStatus
from clients.papers.expiring import ENDING_ORDERS
from clients.papers.models import Paper
from clients.papers.selectors import LocalDays, ends_within, paper_settings, papers_expiring


def _overdue(now: datetime) -> QuerySet[Paper]:
    late = LocalDays(now).matching(lambda today: Q(needed_by__lt=today))
    return Paper.objects.filter(late, status=PaperStatus.WAITING)


def _expiring(now: datetime) -> QuerySet[Paper]:
    return Paper.objects.filter(papers_expiring(LocalDays(now)))


def _expiring_orders(now: datetime) -> QuerySet[Order]:
    """By the practice's own day: an order bears no zone."""
    soon = ends_within(LocalDays(now).usual, paper_settings().expiring_days)
    return Order.objects.filter(soon, kind__in=ENDING_ORDERS, lifted_on=None)


def _told_overdue(rows: Sequence[Paper], _now: datetime) -> list[str]:
    return [
        f"A paper was needed by {row.needed_by.isoformat()} and is waited for: {_of_whom(row)}."
        for row in rows
    ]


def _told_expiring(rows: Sequence[Paper], _now: datetime) -> list[str]:
    return [f"A paper ends on {row.expires_on}: {_of_whom(row)}." for row in rows]


def _told_orders(rows: Sequence[Order], _now: datetime) -> list[str]:
    return [
        f"An order ends on {row.expires_on}: {row.kind.replace('_', ' ')}, of"
        f" {row.prescriber_name}."
        for row in rows
    ]


def _of_whom(row: Paper) -> str:
    content = msgspec.convert(row.paper, PaperState).content
    asked: AskedOf = content.asked_of
    reached = f", phone {asked.phone}" if asked.phone else ""
    return f"{paper_title(PaperKind(row.kind), content.title)}, of {asked.name}{reached}"


PAPERS_OVERDUE = CallSource(
    reason="paper_overdue",
    explained="A paper is waited for after the day by which it was needed.",
    rows=_overdue,
    by="needed_by",
    about="id",
    since="changed_at",
    told=_told_overdue,
)
PAPERS_EXPIRING = CallSource(
    reason="paper_expiring",
    explained="A paper ends soon: a new one is to be asked for.",
    rows=_expiring,
    by="expires_on",
    about="id",
    since="changed_at",
    told=_told_expiring,
)
ORDERS_EXPIRING = CallSource(
    reason="order_expiring",
    explained="A clearance or a signature ends soon: a new one is to be asked for.",
    rows=_expiring_orders,
    by="expires_on",
    about="id",
    since="filed_at",
    told=_told_orders,
)
