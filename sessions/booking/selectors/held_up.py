"""Booked sessions that wait for papers, from what their rows say: two queries for all papers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from uuid import UUID

import msgspec

from clients.papers.domain.events import PaperContent
from clients.papers.domain.holding import HeldSession, waits_for
from clients.papers.models import Paper
from practice.clock import clock
from practice.core.reasons import Reason
from sessions.booking.domain.held_up import closed_for_want_of, closed_in_row
from sessions.calendar.models import Session
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import specs_of


def sessions_held_up(papers: Sequence[Paper]) -> Mapping[UUID, Sequence[HeldSession]]:
    """The sessions ahead of which something waits for each paper, by its id and their start."""
    sessions = defaultdict(list)
    booked = Session.objects.filter(
        client_id__in={one.client_id for one in papers}, status="booked", ends_at__gt=clock.now()
    )
    for row in booked.order_by("starts_at", "id"):
        sessions[row.client_id].append(row)
    if not sessions:
        return {}
    catalogue = _Catalogue()
    return {
        one.pk: [held for row in sessions[one.client_id] for held in _held(one, row, catalogue)]
        for one in papers
    }


class _Catalogue:
    """The stretches in use, and their names, by code."""

    def __init__(self) -> None:
        rows = list(Stretch.objects.all())
        self.specs = {one.code: one for one in specs_of(rows)[0]}
        self.names = {one.code: one.content["name"] for one in rows}


def _held(paper: Paper, row: Session, catalogue: _Catalogue) -> list[HeldSession]:
    content = msgspec.convert(paper.paper["content"], PaperContent)
    closed = closed_in_row(row.closed, row.narrowed)
    reasons, stretches = closed_for_want_of(content, closed, catalogue.specs)
    warned = msgspec.convert(row.warnings, list[Reason])
    reasons += [one for one in warned if one not in reasons and waits_for(content, one)]
    if not reasons:
        return []
    return [
        HeldSession(
            session_id=row.pk,
            starts_at=row.starts_at,
            zone=row.zone,
            hands_on=row.widest_hands_on,
            reasons=tuple(reasons),
            stretches=tuple(catalogue.names.get(code, code) for code in stretches),
        )
    ]
