"""Papers among what is missing for some sessions: waited for, overdue, or not filed as an order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

import msgspec

from clients.papers.domain.orders_of_answers import answered_without_order
from clients.papers.domain.paper import Paper as PaperState
from clients.papers.domain.paper import is_overdue
from clients.papers.domain.terms import PaperStatus
from clients.papers.models import Paper
from clients.papers.selectors import LocalDays
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource

LATE, WAITING, NOT_FILED = "pap-late", "pap", "pap-file"


def _paper_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    clients, days = {row.client_id for row in sessions}, LocalDays()
    found: defaultdict[UUID, set[str]] = defaultdict(set)
    papers = Paper.objects.filter(client_id__in=clients).exclude(status=PaperStatus.WITHDRAWN)
    for row in papers:
        if (code := _code(row, days.of(row.zone))) is not None:
            found[row.client_id].add(code)
    return {
        row.pk: [code for code in PAPER_GAPS.texts if code in found[row.client_id]]
        for row in sessions
        if row.client_id in found
    }


def _code(row: Paper, today: date) -> str | None:
    if row.status == PaperStatus.WAITING:
        return LATE if is_overdue(row.status, row.needed_by, today) else WAITING
    return NOT_FILED if answered_without_order(msgspec.convert(row.paper, PaperState)) else None


PAPER_GAPS = GapSource(
    {
        LATE: "A paper is overdue: remind whom it was asked of (the client's papers say).",
        WAITING: "A paper is waited for: the client's papers say of whom, since when.",
        NOT_FILED: "A paper was answered and no order filed: ask the practitioner.",
    },
    _paper_gaps,
)
