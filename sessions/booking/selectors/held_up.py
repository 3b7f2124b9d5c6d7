"""Booked sessions that wait for papers, from what their rows say: two queries for all papers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from uuid import UUID

import msgspec

from clients.papers.domain.events import PaperContent
from clients.papers.domain.holding import HeldSession, waits_for
from clients.papers.models import Paper
from clients.permissions.domain.stretch import StretchSpec
from practice.clock import clock
from practice.core.reasons import Reason
from sessions.booking.domain.held_up import closed_for_want_of, closed_in_row
from sessions.calendar.models import Session
from sessions.catalogue.selectors import catalogue, stretch_names


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
    specs = {one.code: one for one in catalogue().specs}
    return {
        one.pk: [held for row in sessions[one.client_id] for held in _held(one, row, specs)]
        for one in papers
    }


def _held(paper: Paper, row: Session, specs: Mapping[str, StretchSpec]) -> list[HeldSession]:
    names = stretch_names()
    content = msgspec.convert(paper.paper["content"], PaperContent)
    closed = closed_in_row(row.closed, row.narrowed)
    reasons, stretches = closed_for_want_of(content, closed, specs)
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
            stretches=tuple(names.get(code, code) for code in stretches),
        )
    ]
