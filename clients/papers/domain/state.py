"""The papers slice: every paper that was asked for, and where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from clients.papers.domain import events, folding
from clients.papers.domain.paper import Paper
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class PapersState:
    """The papers by id, in the order in which they were asked for."""

    papers: Mapping[UUID, Paper]


PAPERS: Slice[dict[UUID, Paper], PapersState] = Slice(
    "papers", initial=dict, freeze=lambda found: PapersState(dict(found)), watches=(events,)
)


@PAPERS.on(events.PaperAsked)
def asked(papers: dict[UUID, Paper], event: events.PaperAsked, meta: RecordedEvent) -> None:
    papers[event.paper_id] = folding.asked(event)


@PAPERS.on(
    events.PaperSent,
    events.PaperReminded,
    events.PaperAnswered,
)
def stepped(
    papers: dict[UUID, Paper],
    event: events.PaperSent | events.PaperReminded | events.PaperAnswered,
    meta: RecordedEvent,
) -> None:
    if (paper := papers.get(event.paper_id)) is not None:
        papers[paper.id] = folding.stepped(paper, event)


@PAPERS.on(events.PaperOrderLinked, events.PaperWithdrawn)
def linked_or_withdrawn(
    papers: dict[UUID, Paper],
    event: events.PaperOrderLinked | events.PaperWithdrawn,
    meta: RecordedEvent,
) -> None:
    if (paper := papers.get(event.paper_id)) is not None:
        papers[paper.id] = folding.stepped(paper, event)


@PAPERS.on(events.PaperCorrected)
def corrected(papers: dict[UUID, Paper], event: events.PaperCorrected, meta: RecordedEvent) -> None:
    if (paper := papers.get(event.paper_id)) is not None:
        papers[paper.id] = folding.corrected(paper, event)


@PAPERS.on(events.PaperStepInError)
def in_error(
    papers: dict[UUID, Paper], event: events.PaperStepInError, meta: RecordedEvent
) -> None:
    if (paper := papers.get(event.paper_id)) is not None:
        papers[paper.id] = folding.in_error(paper, event)
