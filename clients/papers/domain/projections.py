"""The rows of papers. Pure."""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.identity.domain.rows import to_json
from clients.papers.domain import events, folding
from clients.papers.domain.paper import Paper
from clients.papers.domain.terms import PaperStepKind
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

PAPER_ROWS = Projection("clients.Paper", watches=(events,))


@PAPER_ROWS.on(events.PaperAsked)
def asked(rows: ProjectedRows, event: events.PaperAsked, meta: RecordedEvent) -> None:
    _put(rows, folding.asked(event), meta)


@PAPER_ROWS.on(events.PaperSent, events.PaperReminded, events.PaperAnswered)
def stepped(
    rows: ProjectedRows,
    event: events.PaperSent | events.PaperReminded | events.PaperAnswered,
    meta: RecordedEvent,
) -> None:
    if (paper := _paper(rows, event.paper_id)) is not None:
        _put(rows, folding.stepped(paper, event), meta)


@PAPER_ROWS.on(events.PaperOrderLinked, events.PaperWithdrawn)
def linked_or_withdrawn(
    rows: ProjectedRows,
    event: events.PaperOrderLinked | events.PaperWithdrawn,
    meta: RecordedEvent,
) -> None:
    if (paper := _paper(rows, event.paper_id)) is not None:
        _put(rows, folding.stepped(paper, event), meta)


@PAPER_ROWS.on(events.PaperCorrected)
def corrected(rows: ProjectedRows, event: events.PaperCorrected, meta: RecordedEvent) -> None:
    if (paper := _paper(rows, event.paper_id)) is not None:
        _put(rows, folding.corrected(paper, event), meta)


@PAPER_ROWS.on(events.PaperStepInError)
def in_error(rows: ProjectedRows, event: events.PaperStepInError, meta: RecordedEvent) -> None:
    if (paper := _paper(rows, event.paper_id)) is not None:
        _put(rows, folding.in_error(paper, event), meta)


def _paper(rows: ProjectedRows, paper_id: UUID) -> Paper | None:
    row = rows.get(paper_id)
    return None if row is None else msgspec.convert(row["paper"], Paper)


def _put(rows: ProjectedRows, paper: Paper, meta: RecordedEvent) -> None:
    sent, reminded = paper.last(PaperStepKind.SENT), paper.last(PaperStepKind.REMINDED)
    answer = paper.answer
    rows.put(
        paper.id,
        {
            "kind": paper.content.kind,
            "status": paper.status,
            "outcome": (answer.outcome or "") if answer else "",
            "asked_on": paper.content.asked_on,
            "needed_by": paper.content.needed_by,
            "expires_on": paper.expires_on,
            "sent_on": sent.on if sent else None,
            "reminded_on": reminded.on if reminded else None,
            "answered_on": answer.on if answer else None,
            "zone": paper.zone,
            "changed_at": meta.recorded_at,
            "paper": to_json(paper),
        },
    )
